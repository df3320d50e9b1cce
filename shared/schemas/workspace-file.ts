// The schema of a whole workspace, as a file holds it: for whoever writes one by other means.
import { onFirstUse, z } from '#shared/zod.ts';
import { savedBatchSchema } from './batch.ts';
import { recordId } from './record.ts';
import {
  IN_FILE,
  savedDesignSchema,
  savedLotSchema,
  SINGLE_PARTS,
  WORKSPACE_FORMAT,
  WORKSPACE_VERSION,
  type WorkspaceDocument,
} from './workspace.ts';

export const workspaceSchema = onFirstUse(() =>
  z.strictObject({
    format: z.literal(WORKSPACE_FORMAT).check(z.describe(`"${WORKSPACE_FORMAT}"`)),
    version: z.literal(WORKSPACE_VERSION).check(z.describe('the version of the document')),
    designs: z
      .array(savedDesignSchema)
      .check(z.minLength(1), z.maxLength(IN_FILE.designs), z.describe('the list of designs')),
    lots: z
      .array(savedLotSchema)
      .check(z.maxLength(IN_FILE.lots), z.describe('the list of lots in stock')),
    /** Absent in files from before there were any. */
    batches: z._default(
      z
        .array(savedBatchSchema)
        .check(z.maxLength(IN_FILE.batches), z.describe('the list of batches')),
      [],
    ),
    usual: z.optional(SINGLE_PARTS.usual),
    learning: z.optional(SINGLE_PARTS.learning),
    own_tables: z.optional(SINGLE_PARTS.own_tables),
    season: z.optional(SINGLE_PARTS.season),
    open: recordId.check(z.describe('the id of the open design')),
  }),
) satisfies z.ZodMiniType<WorkspaceDocument>;
