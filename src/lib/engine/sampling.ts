// Seeded draws of everything uncertain: parameters, thresholds, lot composition.
// Parameters and thresholds: two half triangles that meet at the default, each with half the mass, so
// that the default is mode and median and the point prediction lies amid its band; on the log scale
// where low is above zero. Lot figures: split log-normal, low and high as the 5 and 95 %
// points. One seed gives one stream, so a prediction is repeatable to the digit.
import { randomLcg, randomNormal } from 'd3';
import { ANALYTES, COMPOUNDS } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import type { Lot } from './composition.ts';
import { centralValues, type LotValues } from './effect.ts';
import type { Model, ParameterId, ParameterValues, Thresholds } from './model.ts';

/** Normal score of the 95 % point. */
const Z95 = 1.6448536269514722;

/** A source of uniform and normal numbers from one seed. */
export interface Random {
  /** Uniform on [0, 1). */
  readonly uniform: () => number;
  /** Standard normal. */
  readonly normal: () => number;
}

/** @param seed any finite number; the same seed gives the same stream. */
export function randomFrom(seed: number): Random {
  const uniform = randomLcg(seed);
  return { uniform, normal: randomNormal.source(uniform)(0, 1) };
}

/** How far towards the end of the range a draw lies, 0 to 1, falling linearly: half a triangle. */
function reach(uniform: number): number {
  return 1 - Math.sqrt(1 - uniform);
}

/** A draw of a parameter or threshold; half of the draws lie below the central value. */
export function drawParameter({ low, central, high }: Interval, random: Random): number {
  const u = 2 * random.uniform() - 1;
  const end = u < 0 ? low : high;
  const share = reach(Math.abs(u));
  if (low <= 0) return central + (end - central) * share;
  return central * (end / central) ** share;
}

/** A draw of a composition figure, never negative. */
export function drawFigure({ low, central, high }: Interval, random: Random): number {
  const z = random.normal();
  const end = z < 0 ? low : high;
  if (central > 0 && end > 0) return central * (end / central) ** (Math.abs(z) / Z95);
  return Math.max(0, central + ((end - central) * Math.abs(z)) / Z95);
}

export function drawValues(model: Model, random: Random): ParameterValues {
  const values = {} as Record<ParameterId, number>;
  for (const id of Object.keys(model.parameters) as ParameterId[]) {
    const row = model.parameters[id];
    values[id] = row.fixed ? row.central : drawParameter(row, random);
  }
  return values;
}

export function drawThresholds(model: Model, random: Random): Thresholds {
  return Object.fromEntries(
    COMPOUNDS.map((c) => {
      const { threshold } = model.compounds[c];
      return [c, threshold && drawParameter(threshold, random)];
    }),
  ) as Thresholds;
}

export function drawLot(lot: Lot, random: Random): LotValues {
  const central = centralValues(lot);
  const figures = Float64Array.from(ANALYTES, (analyte) => {
    const figure = lot.figures[analyte];
    return figure ? drawFigure(figure, random) : NaN;
  });
  return { ...central, figures };
}
