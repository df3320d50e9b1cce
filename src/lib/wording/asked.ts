// What was asked where a wish or limit is missed, in words.
import type { Miss } from '#shared/answers/answer.ts';
import type { UnitSystem } from '#shared/units.ts';
import { intensity } from './format.ts';
import { wishFigure } from './wishes.ts';

export type Written = (figure: number) => string;

/** What was asked: "at least 2.6", "3.0 ± 0.2", "40 IBU". */
export function askedWords(
  { asked, wish }: Pick<Miss, 'asked' | 'wish'>,
  units: UnitSystem,
  written: Written = intensity,
): string {
  if (typeof asked === 'number') return wishFigure(wish, asked, units);
  const { aim, within = 0, at_least: least, at_most: most } = asked;
  return [
    ...(aim !== undefined ? [`${written(aim)} ± ${written(within)}`] : []),
    ...(least !== undefined ? [`at least ${written(least)}`] : []),
    ...(most !== undefined ? [`at most ${written(most)}`] : []),
  ].join(', ');
}
