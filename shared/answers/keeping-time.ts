// When the profile of the fresh beer is over, and how people say how long that takes: in weeks at first, in months
// later.
import type { BestBefore } from './prediction.ts';

/**
 * Loss of a note, in intensity, after which the profile counts as another: twice the just noticeable
 * difference. A judgement.
 */
export const FADED = 0.3;

const WEEKS_PER_MONTH = 365.25 / 12 / 7;
/** Months from which on nobody counts weeks. */
const IN_MONTHS = 3;

const counted = (count: number, one: string) => `${count} ${one}${count === 1 ? '' : 's'}`;

/** Whole weeks or months that are over by then, at least one week; `null` is two years and more. */
export function keepingTimeWords(months: BestBefore['months']): string {
  if (months === null) return 'two years and more';
  if (months >= IN_MONTHS) return counted(Math.floor(months), 'month');
  return counted(Math.max(1, Math.floor(months * WEEKS_PER_MONTH)), 'week');
}
