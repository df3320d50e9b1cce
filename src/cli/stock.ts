// Lots from a stock list as people export it, as old as they are today. Failures name the line and the cure;
// what had to be assumed is noted.
import { dateProblems, dayOf } from '#shared/lists/lot-dates.ts';
import { stockIn } from '#shared/lists/stock.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { firstProblems } from '#shared/reading/problems.ts';
import { textOfFile } from '#shared/reading/text-file.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { knownHops, lotOf } from '#engine/lot/composition.ts';
import { agedCandidate, stockCandidates } from '#engine/lot/lot-storage.ts';
import type { Model } from '#engine/tables/model.ts';
import { readBytes, type Streams } from './input.ts';

/** The day it is here, like 2026-03-31. */
export function today(): string {
  return dayOf(new Date());
}

/** The lots of a list that are not used up, and what to know of how they were read. */
export interface StockRead {
  readonly candidates: Candidate[];
  readonly notes: readonly string[];
}

/**
 * Reads a stock list, parted by commas, semicolons, tabs or bars, to the lots not used up, each aged to
 * `day`, like 2026-03-31. The list the page writes is one.
 */
export function readStock(
  file: string,
  model: Model,
  day: string,
  streams: Pick<Streams, 'input'>,
): Outcome<StockRead> {
  const bytes = readBytes(file, streams);
  if (!bytes.ok) return bytes;
  const text = textOfFile(bytes.value, 'a list saved as CSV');
  if (!text.ok) return text;
  const list = stockIn(text.value.text, knownHops(model));
  if (!list.ok) return list;
  const { lots, notes } = list.value;
  const problems = lots.flatMap(({ line, lot }) => {
    const known = lotOf(model, agedCandidate(model, lot, day));
    const dates = dateProblems(lot, day);
    const all = known.ok ? dates : [...dates, ...known.problems];
    return all.map((p) => ({ ...p, path: `line ${line}, ${p.path}` }));
  });
  if (problems.length > 0) return failure(...firstProblems(problems));
  const candidates = stockCandidates(
    model,
    lots.map(({ lot }) => lot),
    day,
  );
  if (candidates.length > 0) return success({ candidates, notes });
  const message = 'every lot is used up';
  return failure({ path: 'out_of_stock', message, cure: 'Leave it empty for a lot that is there' });
}
