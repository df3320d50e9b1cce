// Gets text from a file or standard input, and lots, as old as they are today, from a stock CSV.
// Failures name the cure.
import { readFileSync } from 'node:fs';
import { csvRows } from '#shared/csv.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Candidate } from '#shared/schemas/brief.ts';
import { stockOf, type StockLot } from '#shared/stock.ts';
import { lotOf } from '#engine/composition.ts';
import { agedCandidate, stockCandidates } from '#engine/lot-storage.ts';
import { model } from '#engine/model.ts';

const STANDARD_INPUT = 0;

/** The name of an input in messages. */
export function inputName(file: string): string {
  return file === '-' ? 'standard input' : file;
}

const READ_FAULTS: Readonly<Record<string, { message: string; cure: string }>> = {
  ENOENT: { message: 'there is no such file', cure: 'Correct the path' },
  ENOTDIR: { message: 'there is no such file', cure: 'Correct the path' },
  EISDIR: { message: 'this is a folder, not a file', cure: 'Give a file' },
  EACCES: { message: 'the file may not be read', cure: 'Change its permissions' },
};

/** Reads a whole file, or standard input for `-`, as UTF-8 text. */
export function readText(file: string): Outcome<string> {
  let bytes: Buffer;
  try {
    bytes = readFileSync(file === '-' ? STANDARD_INPUT : file);
  } catch (fault) {
    const { code = 'unknown' } = fault as NodeJS.ErrnoException;
    const known = READ_FAULTS[code];
    const message = known?.message ?? `it could not be read (${code})`;
    return failure({ path: '', message, cure: known?.cure ?? 'Check the file and try again' });
  }
  try {
    return success(new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes));
  } catch {
    return failure({ path: '', message: 'it is not UTF-8 text', cure: 'Save it as UTF-8' });
  }
}

/**
 * Reads a stock list in CSV, comma, semicolon or tab, with a header line, to the lots not used up, each
 * aged to `today`, a day like 2026-03-31. The list the page writes is one.
 */
export function readStock(file: string, today: string): Outcome<Candidate[]> {
  const text = readText(file);
  if (!text.ok) return text;
  const lots = stockOfCsv(text.value);
  if (!lots.ok) return lots;
  const problems = lots.value.flatMap(({ line, lot }) => {
    const known = lotOf(model, agedCandidate(model, lot, today));
    return known.ok ? [] : known.problems.map((p) => ({ ...p, path: `line ${line}, ${p.path}` }));
  });
  if (problems.length > 0) return failure(...problems);
  const there = stockCandidates(
    model,
    lots.value.map(({ lot }) => lot),
    today,
  );
  if (there.length > 0) return success(there);
  const message = 'every lot is used up';
  return failure({ path: 'out_of_stock', message, cure: 'Leave it empty for a lot that is there' });
}

/** Lots of a CSV text; problems carry line numbers. */
export function stockOfCsv(text: string): Outcome<StockLot[]> {
  const read = csvRows(text);
  return read.ok ? stockOf(read.value.rows) : read;
}
