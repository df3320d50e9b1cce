// The ways to estimate a figure that are compared: the median of the varieties read, the median of all given, a
// regression on log-ratios of the composition, its nearest neighbours. Everything is in natural logarithms: a share
// of the oil is a ratio, its error a factor.
import { mean, median, standardDeviation } from 'simple-statistics';
import { PREDICTORS, type Leaning, type Predictor } from '#shared/evidence/estimate.ts';
import type { Witness } from './estimate-evidence.ts';
import { ridge } from './regression.ts';

/** Both were set before any error was seen; the errors hardly change from a third to three times of either. */
const PENALTY = 0.3;
const NEIGHBOURS = 7;

/** Estimates the logarithm of a figure from the given figures of a hop. */
export type Guess = (given: Witness['given']) => number;

export const METHODS = ['pooled_read', 'pooled', 'regression', 'neighbours'] as const;
export type Method = (typeof METHODS)[number];

/** Learns from witnesses; `undefined` where there is nothing to learn from. */
export type Learn = (from: readonly Witness[]) => Guess | undefined;

/** Typical figure and spread of each predictor among the varieties that have it. */
function scales(from: readonly Witness[]) {
  return PREDICTORS.flatMap((on) => {
    const logs = from.flatMap(({ given }) => given[on] ?? []);
    return logs.length < 2 ? [] : [{ on, middle: mean(logs), spread: standardDeviation(logs) }];
  }).filter(({ spread }) => spread > 0);
}

const pooled: Learn = (from) => {
  if (from.length === 0) return undefined;
  const middle = median(from.map(({ target }) => target));
  return () => middle;
};

/** The regression as a typical figure and the figures it depends on; a missing figure counts as typical. */
export function regress(from: readonly Witness[]): { typical: number; leanings: Leaning[] } {
  const scale = scales(from);
  const standardized = ({ given }: Witness) =>
    scale.map(({ on, middle, spread }) => ((given[on] ?? middle) - middle) / spread);
  const { intercept, weights } = ridge(
    from.map(standardized),
    from.map(({ target }) => target),
    PENALTY,
  );
  const leanings = scale.map(({ on, middle, spread }, j) => ({
    on,
    reference: Math.exp(middle),
    power: weights[j]! / spread,
  }));
  return { typical: intercept, leanings };
}

const regression: Learn = (from) => {
  if (from.length === 0) return undefined;
  const { typical, leanings } = regress(from);
  const targets = from.map(({ target }) => target);
  const [least, greatest] = [Math.min(...targets), Math.max(...targets)];
  return (given) => {
    const log = leanings.reduce((sum, { on, reference, power }) => {
      const figure = given[on];
      return figure === undefined ? sum : sum + power * (figure - Math.log(reference));
    }, typical);
    return Math.min(greatest, Math.max(least, log));
  };
};

const neighbours: Learn = (from) => {
  if (from.length === 0) return undefined;
  const scale = scales(from);
  const distance = (a: Witness['given'], b: Witness['given']) => {
    const squares = scale.flatMap(({ on, spread }: { on: Predictor; spread: number }) => {
      const [x, y] = [a[on], b[on]];
      return x === undefined || y === undefined ? [] : [((x - y) / spread) ** 2];
    });
    return squares.length === 0 ? Infinity : mean(squares);
  };
  return (given) => {
    const nearest = from
      .map((witness) => ({ far: distance(given, witness.given), target: witness.target }))
      .sort((a, b) => a.far - b.far)
      .slice(0, NEIGHBOURS);
    return mean(nearest.map(({ target }) => target));
  };
};

export const LEARN: Readonly<Record<Method, Learn>> = {
  pooled_read: (from) => pooled(from.filter(({ read }) => read)),
  pooled,
  regression,
  neighbours,
};
