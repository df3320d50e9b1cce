// Other programs can be told what a document must hold: its schema says so as a JSON Schema.
import { expect, it } from 'vitest';
import { briefSchema, scheduleSchema } from '#shared/schemas/brief.ts';
import { workspaceSchema } from '#shared/schemas/workspace-file.ts';
import { z } from '#shared/zod.ts';

it.each(Object.entries({ briefSchema, scheduleSchema, workspaceSchema }))(
  '%s can be written as a JSON Schema',
  (_, schema) => {
    const written = z.toJSONSchema(schema, { io: 'input', unrepresentable: 'any' });
    expect(Object.keys(written.properties!)).toEqual(Object.keys(schema.shape));
    expect(written.additionalProperties).toBe(false);
  },
);

it('a figure in it has its range and what it is', () => {
  const { properties } = z.toJSONSchema(briefSchema.shape.batch, { io: 'input' });
  expect(properties!['malt_g_per_l']).toEqual({
    type: 'number',
    minimum: 0,
    maximum: 1000,
    description: 'the malt per litre of beer, in g/L',
  });
});
