// Reads the published observations of data/published/: one table an experiment, every row checked.
// What a row says, and by which rule it is judged, is decided here; predictions.ts computes.
import { readdirSync, readFileSync } from 'node:fs';
import { z } from '#shared/zod.ts';
import { readTable, type Located } from '#shared/tables/read.ts';
import { sentence } from '#shared/outcome.ts';
import { INDEPENDENCE } from '#shared/evidence/scoreboard.ts';

const FOLDER = new URL('../../data/published/', import.meta.url);

/**
 * A numeric prediction holds within this factor, by what is observed. `code` is the arithmetic of
 * an equation the program has from the source itself: it must agree to the printed digits. `dilution`
 * is smelled in steps of two, each figure good to one step: two differ from a factor of four on.
 */
export const HOLDS_WITHIN = {
  oxygenate: 2,
  hydrocarbon: 3,
  thiol: 3,
  bitter: 2,
  other: 2,
  code: 1.02,
  dilution: 4,
} as const;

const numberOrEmpty = z.pipe(
  z
    .string()
    .check(z.regex(/^(\d+(\.\d+)?)?$/, 'Write a decimal number with a point, or leave it empty')),
  z.transform((s) => (s === '' ? undefined : Number(s))),
);

const observationSchema = z.object({
  id: z
    .string()
    .check(z.regex(/^[a-z0-9_]+(\.[a-z0-9_]+)+$/, 'Write small words joined by points')),
  quantity: z.string().check(z.minLength(1, 'Fill the cell')),
  compound: z.string(),
  hop: z.string(),
  form: z.string(),
  stage: z.enum(['', 'mash', 'hot_steep', 'dry_hop']),
  conditions: z.string(),
  kind: z.enum(['numeric', 'range', 'direction', 'unscored']),
  value: numberOrEmpty,
  low: numberOrEmpty,
  high: numberOrEmpty,
  unit: z.string(),
  direction: z.enum(['', 'rise', 'fall', 'same']),
  class: z.enum(['oxygenate', 'hydrocarbon', 'thiol', 'bitter', 'other', 'code', 'dilution']),
  status: z.enum(['seen', 'derived', 'memory']),
  source: z.string().check(z.minLength(1, 'Fill the cell')),
  independent: z.enum(INDEPENDENCE),
  taken: z.string(),
  /** Why it is known to miss, or is not scored; empty where it holds. */
  reason: z.string(),
  note: z.string(),
});

export type Observation = Located<z.output<typeof observationSchema>> & {
  readonly experiment: string;
};

/** Every observation, by experiment in alphabetical order. Throws on a table that does not read. */
export function readObservations(): Observation[] {
  const files = readdirSync(FOLDER)
    .filter((file) => file.endsWith('.csv'))
    .sort();
  return files.flatMap((file) => {
    const table = readTable(readFileSync(new URL(file, FOLDER), 'utf8'), observationSchema);
    if (!table.ok) throw new Error(table.problems.map((p) => sentence(file, p)).join('\n'));
    return table.value.map((row) => ({ ...row, experiment: file.replace('.csv', '') }));
  });
}
