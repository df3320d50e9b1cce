// The JSON Schemas of our documents, for editors and other programs; written at build time from the schemas that
// documents are checked by.
import { error, json } from '@sveltejs/kit';
import { briefSchema, scheduleSchema } from '#shared/schemas/brief.ts';
import { workspaceSchema } from '#shared/schemas/workspace-file.ts';
import { z } from '#shared/zod.ts';
import type { EntryGenerator, RequestHandler } from './$types';

export const prerender = true;

const SCHEMAS: Readonly<Record<string, readonly [title: string, schema: z.ZodMiniType]>> = {
  brief: ['A brief to design a hop blend from', briefSchema],
  schedule: ['A hop schedule', scheduleSchema],
  workspace: ['A workspace: designs, lots in stock, batches', workspaceSchema],
};

export const entries: EntryGenerator = () => Object.keys(SCHEMAS).map((name) => ({ name }));

export const GET: RequestHandler = ({ params }) => {
  const found = SCHEMAS[params.name];
  if (!found) error(404, `There is no schema of "${params.name}"`);
  const [title, schema] = found;
  // A schema also changes a document as it reads it; a JSON Schema can describe only the document before that.
  const { $schema, ...rest } = z.toJSONSchema(schema, { io: 'input', unrepresentable: 'any' });
  return json({ $schema, title, ...rest });
};
