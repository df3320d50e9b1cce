// Days as people write them: 2025-12-31, 31.12.2025, 31/12/2025, 12/31/2025, 14 Nov 2025. Whether the day or
// the month comes first between strokes is read from the list; where nothing shows it, a person must say.
import type { ListRow } from './csv.ts';
import { plain } from './folding.ts';

export const DATE_ORDERS = ['day', 'month'] as const;
/** What comes first in a date like 05/10/2025. */
export type DateOrder = (typeof DATE_ORDERS)[number];

const DATE_MAX = 30;
const ISO = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[t\s].*)?$/;
const POINTED = /^(\d{1,2})\.\s*(\d{1,2})\.\s*(\d{4}|\d{2})\.?$/;
const STROKED = /^(\d{1,2})([/-])(\d{1,2})\2(\d{4}|\d{2})$/;
const NAMED =
  /^(?:(\d{1,2})\.?\s*(?:de\s+)?([a-z]+)|([a-z]+)\s+(\d{1,2}))(?:\.|,)?\s*(?:de\s+)?(\d{4})$/;

/** The months by how their names begin in English, German, Czech, French and Spanish. */
const MONTHS: readonly (readonly string[])[] = [
  ['jan', 'led', 'ene'],
  ['feb', 'uno', 'fev'],
  ['mar', 'brez'],
  ['apr', 'dub', 'avr', 'abr'],
  ['may', 'mai', 'kve'],
  ['jun', 'juin', 'cerv'],
  ['jul', 'juil', 'cervenc'],
  ['aug', 'srp', 'aou', 'ago'],
  ['sep', 'zar'],
  ['oct', 'okt', 'rij'],
  ['nov', 'lis'],
  ['dec', 'dez', 'pros', 'dic'],
];

/** The number of the month that a word names, from 1; `null` where it names none. */
function monthOf(word: string): number | null {
  const named = MONTHS.flatMap((begins, i) =>
    begins.filter((begin) => word.startsWith(begin)).map((begin) => ({ begin, month: i + 1 })),
  );
  return named.sort((a, b) => b.begin.length - a.begin.length)[0]?.month ?? null;
}

const two = (text: string | number) => String(text).padStart(2, '0');
const four = (year: string) => (year.length === 2 ? `20${year}` : year);
const dateText = (year: string, month: string | number, day: string) =>
  `${four(year)}-${two(month)}-${two(day)}`;

/** Whether a date depends on what comes first: 05/10/2025 may be in May or in October. */
function order(cell: string): DateOrder | 'either' | null {
  const [, first, , second] = STROKED.exec(cell.trim().slice(0, DATE_MAX)) ?? [];
  if (!first || !second) return null;
  if (Number(first) > 12) return 'day';
  if (Number(second) > 12) return 'month';
  return first === second ? null : 'either';
}

/** A date of a list that may be two days. */
export interface DoubtfulDate {
  readonly line: number;
  readonly cell: string;
}

/** What comes first in the dates of a list. */
export type DateOrders =
  | { readonly order: DateOrder }
  /** Nothing shows it, so a person must say; `doubtful` is the first date that depends on it. */
  | { readonly order: null; readonly doubtful: DoubtfulDate };

/**
 * What comes first in most dates with strokes that show it.
 * @param at the index of their column, or -1.
 */
export function dateOrdersOf(rows: readonly ListRow[], at: number): DateOrders {
  let days = 0;
  let doubtful: DoubtfulDate | null = null;
  for (const { line, cells } of at < 0 ? [] : rows) {
    const cell = cells[at] ?? '';
    const read = order(cell);
    if (read === 'day') days += 1;
    else if (read === 'month') days -= 1;
    else if (read === 'either') doubtful ??= { line, cell: cell.trim() };
  }
  if (days !== 0 || doubtful === null) return { order: days < 0 ? 'month' : 'day' };
  return { order: null, doubtful };
}

/** "05/10/2025 may be 2025-10-05 or 2025-05-10". */
export function dateDoubtWords({ cell }: DoubtfulDate): string {
  return `${cell} may be ${DATE_ORDERS.map((first) => dayIn(cell, first)).join(' or ')}`;
}

/** A date in any of these spellings as 2025-12-31; a cell that is no date is left as it is. */
export function dayIn(cell: string, first: DateOrder): string {
  const text = cell.trim();
  if (text.length > DATE_MAX) return text;
  const iso = ISO.exec(plain(text));
  if (iso) return dateText(iso[1]!, iso[2]!, iso[3]!);
  const pointed = POINTED.exec(text);
  if (pointed) return dateText(pointed[3]!, pointed[2]!, pointed[1]!);
  const stroked = STROKED.exec(text);
  if (stroked) {
    const [, one, , other, year] = stroked;
    return first === 'day' ? dateText(year!, other!, one!) : dateText(year!, one!, other!);
  }
  const named = NAMED.exec(plain(text));
  if (!named) return text;
  const month = monthOf(named[2] ?? named[3]!);
  return month === null ? text : dateText(named[5]!, month, named[1] ?? named[4]!);
}
