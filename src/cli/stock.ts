// Lots from a stock CSV, as old as they are today. Failures name the line and the cure.
import { csvRows } from '#shared/lists/csv.ts';
import { dateProblems, dayOf } from '#shared/lists/lot-dates.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { toldOf } from '#shared/reading/problems.ts';
import type { Candidate } from '#shared/schemas/brief.ts';
import { stockOf, type StockLot } from '#shared/lists/stock.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { agedCandidate, stockCandidates } from '#engine/lot/lot-storage.ts';
import { model } from '#engine/tables/model.ts';
import { readText } from './input.ts';

/** The day it is here, like 2026-03-31. */
export function today(): string {
  return dayOf(new Date());
}

/**
 * Reads a stock list in CSV, comma, semicolon or tab, with a header line, to the lots not used up, each
 * aged to `day`, like 2026-03-31. The list the page writes is one.
 */
export function readStock(file: string, day: string): Outcome<Candidate[]> {
  const text = readText(file);
  if (!text.ok) return text;
  const lots = stockOfCsv(text.value);
  if (!lots.ok) return lots;
  const problems = lots.value.flatMap(({ line, lot }) => {
    const known = lotOf(model, agedCandidate(model, lot, day));
    const dates = dateProblems(lot, day);
    const all = known.ok ? dates : [...dates, ...known.problems];
    return all.map((p) => ({ ...p, path: `line ${line}, ${p.path}` }));
  });
  if (problems.length > 0) return failure(...toldOf(problems));
  const there = stockCandidates(
    model,
    lots.value.map(({ lot }) => lot),
    day,
  );
  if (there.length > 0) return success(there);
  const message = 'every lot is used up';
  return failure({ path: 'out_of_stock', message, cure: 'Leave it empty for a lot that is there' });
}

/** Lots of a CSV text; problems carry line numbers. */
export function stockOfCsv(text: string): Outcome<StockLot[]> {
  const read = csvRows(text);
  return read.ok ? stockOf(read.value.rows, read.value.delimiter) : read;
}
