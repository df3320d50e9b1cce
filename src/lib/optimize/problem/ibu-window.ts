// How far the bitterness of a beer may move when its aroma is kept.
import type { Totals } from '#shared/answers/prediction.ts';

/** How far the bitterness of a kept profile may go: the wider of a share and IBU. A judgement. */
export const IBU_SHARE = 0.1;
export const IBU_ROOM = 2;

/** Differences in IBU below this are rounding of sums. */
export const IBU_ROUNDING = 1e-6;

/** Bitterness of a kept profile: within 10 % or 2 IBU of what it was, whichever is wider. */
export function ibuWindow({ totals }: { readonly totals: Pick<Totals, 'ibu'> }): {
  readonly atLeast: number;
  readonly atMost: number;
} {
  const room = Math.max(IBU_SHARE * totals.ibu, IBU_ROOM);
  return { atLeast: Math.max(0, totals.ibu - room), atMost: totals.ibu + room };
}

/** Whether a beer of that bitterness keeps the one before within its room. */
export function keepsBitterness(
  before: { readonly totals: Pick<Totals, 'ibu'> },
  { ibu }: Pick<Totals, 'ibu'>,
): boolean {
  const { atLeast, atMost } = ibuWindow(before);
  return ibu >= atLeast - IBU_ROUNDING && ibu <= atMost + IBU_ROUNDING;
}
