// Other programs can be told what a document must hold: its schema says so as a JSON Schema.
import { expect, it } from 'vitest';
import { briefSchema, scheduleSchema } from '#shared/schemas/brief.ts';
import { workspaceSchema } from '#shared/schemas/workspace-file.ts';
import { onFirstUse, z } from '#shared/zod.ts';

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

it('is built once, when it is first asked, and known by its description all the same', () => {
  let built = 0;
  const late = onFirstUse(() => {
    built += 1;
    return z.strictObject({ grams: z.number() }).check(z.describe('what is weighed'));
  });
  const within = z.strictObject({ part: z.optional(late) });
  expect(built).toBe(0);
  expect(within.safeParse({ part: { grams: 1 } }).success).toBe(true);
  expect(within.safeParse({ part: { grams: 'one' } }).success).toBe(false);
  expect(z.globalRegistry.get(late)?.description).toBe('what is weighed');
  expect(Object.keys(z.extend(late, { hop: z.string() }).shape)).toEqual(['grams', 'hop']);
  expect(built).toBe(1);
});
