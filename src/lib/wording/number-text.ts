// Reads a figure as people type it, and says in a sentence why it cannot be taken.
import type { Range } from '#shared/schemas/ranges.ts';
import { isWithin } from '#shared/schemas/ranges.ts';
import { decimals } from './format.ts';

export type Reading =
  | { readonly ok: true; readonly value: number }
  | { readonly ok: false; readonly sentence: string };

const PLAIN = /^[-+−]?(\d+([.,]\d*)?|[.,]\d+)$/;
/** One comma before exactly three digits: thousands for some, decimals for others. */
const AMBIGUOUS = /^\d{1,3},\d{3}$/;

/** The sentence for a figure outside a range given in the shown unit. */
export function rangeSentence(range: Range, unit: string): string {
  const { min, max, above, whole } = range;
  const kind = whole ? 'A whole number' : 'A number';
  const after = unit === '' ? '' : ` ${unit}`;
  if (max === Infinity) return `${kind} from ${decimals(min, 2)}${after} up.`;
  const from = above ? `above ${decimals(min, 2)} and up to` : `from ${decimals(min, 2)} to`;
  return `${kind} ${from} ${decimals(max, 2)}${after}.`;
}

/** Reads `text`; `range` and `unit` are in the unit the text is typed in. */
export function readNumber(text: string, range: Range, unit: string): Reading {
  const bare = text.trim().replace(/\s/g, '');
  if (AMBIGUOUS.test(bare)) {
    const plain = bare.replace(',', '');
    return { ok: false, sentence: `Write ${plain}, or ${bare.replace(',', '.')} with a point.` };
  }
  const value = PLAIN.test(bare) ? Number(bare.replace(',', '.').replace('−', '-')) : NaN;
  if (isWithin(range, value)) return { ok: true, value };
  return { ok: false, sentence: rangeSentence(range, unit) };
}
