// Tables of a person's own, as they are kept and passed on: the same columns as the tables of data/, each cell as its
// text, so that what is kept, exported and read again is one thing. shared/tables/own-tables.ts decides what the
// cells mean, engine/tables/own.ts what they change.
import { onFirstUse, z } from '#shared/zod.ts';

/** In the order in which they are shown. */
export const OWN_TABLES = [
  'sources',
  'varieties',
  'measurements',
  'parameters',
  'compounds',
  'descriptors',
  'prices',
] as const;
export type OwnTable = (typeof OWN_TABLES)[number];

export const OWN_FORMAT = 'blendbine-own-tables';
export const OWN_VERSION = 1;

/** Most rows of one table, and longest cell. */
export const OWN_ROWS_MAX = 2000;
const CELL_MAX = 2000;
/** Largest file of own tables that is read, bytes: all tables full of rows of common length take a quarter. */
export const OWN_BYTES_MAX = 20_000_000;
const COLUMN_MAX = 40;

const ownRowSchema = onFirstUse(() =>
  z.record(
    z.string().check(z.minLength(1), z.maxLength(COLUMN_MAX)),
    z.string().check(z.maxLength(CELL_MAX)),
  ),
);
/** One row: the text of its cells by column; a column that is not there is empty. */
export type OwnRow = z.infer<typeof ownRowSchema>;

export const ownTablesSchema = onFirstUse(() =>
  z
    .partialRecord(z.enum(OWN_TABLES), z.array(ownRowSchema).check(z.maxLength(OWN_ROWS_MAX)))
    .check(z.describe('the tables of your own, by name')),
);
export type OwnTables = z.infer<typeof ownTablesSchema>;
