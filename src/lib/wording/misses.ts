// A missed wish or limit in words: what was asked beside what a blend gives, before a change and after it.
import type { PointBlend } from '#shared/answers/answer.ts';
import { wishSubject } from '#shared/answers/wish-subject.ts';
import type { UnitSystem } from '#shared/units.ts';
import { askedWords, type Written } from './asked.ts';
import { decimals, intensity } from './format.ts';
import { SHOWN_MISS, wishFigure, wishName } from './wishes.ts';

/** What a blend gives of a wish or limit; `null` where only a miss has a figure, and it is met. */
function given(wish: string, { misses, axes, totals }: PointBlend): number | null {
  const of = wishSubject(wish);
  if (of?.kind === 'axis') return axes[of.axis].intensity;
  if (of?.kind === 'limit') {
    if (of.limit === 'ibu_at_least' || of.limit === 'ibu_at_most') return totals.ibu;
    if (of.limit === 'leaf_g_per_l_after_mash_at_most') return totals.leaf_g_per_l;
    if (of.limit === 'cost_at_most') return totals.cost;
  }
  return misses.find((miss) => miss.wish === wish)?.got ?? null;
}

/**
 * Every wish that a brew or the batch after it misses, with what is asked and what each gives, a line each.
 * @param after `null` where there is no batch after it.
 */
export function missedThen(
  before: PointBlend,
  after: PointBlend | null,
  units: UnitSystem,
): string[] {
  const all = [...before.misses, ...(after?.misses ?? [])];
  const first = new Map(all.map((miss) => [miss.wish, miss] as const).reverse());
  return [...first.values()].reverse().map((miss) => {
    // In one decimal a smaller miss would read as none.
    const written: Written = (figure) =>
      miss.by < SHOWN_MISS ? decimals(figure, 2) : intensity(figure);
    const gives = (blend: PointBlend) => {
      const figure = given(miss.wish, blend);
      if (figure === null) return 'met';
      return typeof miss.asked === 'number'
        ? wishFigure(miss.wish, figure, units)
        : written(figure);
    };
    const name = wishName(miss.wish);
    return [
      `${name.charAt(0).toUpperCase()}${name.slice(1)}: ${askedWords(miss, units, written)} asked`,
      `${gives(before)} as brewed`,
      ...(after ? [`${gives(after)} now`] : []),
    ].join(', ');
  });
}
