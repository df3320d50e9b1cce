// Figures of a range as functions of standard normal scores: score 0 gives the central figure, and the
// probability of a score is that of its figure (sampling.ts). In scores every range is a standard normal
// distribution, which a fit can move and narrow.
import { probit } from 'simple-statistics';
import type { Interval } from '#shared/interval.ts';

const SQRT_2PI = Math.sqrt(2 * Math.PI);

export function normalDensity(score: number): number {
  return Math.exp((-score * score) / 2) / SQRT_2PI;
}

const UPPER = [
  3.52624965998911e-2, 0.700383064443688, 6.37396220353165, 33.912866078383, 112.079291497871,
  221.213596169931, 220.206867912376,
];
const LOWER = [
  8.83883476483184e-2, 1.75566716318264, 16.064177579207, 86.7807322029461, 296.564248779674,
  637.333633378831, 793.826512519948, 440.413735824752,
];
const polynomial = (factors: readonly number[], x: number) =>
  factors.reduce((sum, factor) => sum * x + factor, 0);

/** Share of a standard normal below a score, to double precision (Hart 1968 as in West 2005). */
export function normalShare(score: number): number {
  const x = Math.abs(score);
  const bell = Math.exp((-x * x) / 2);
  let tail: number;
  if (x > 37) tail = 0;
  else if (x < 7.07106781186547) tail = (bell * polynomial(UPPER, x)) / polynomial(LOWER, x);
  else tail = bell / (x + 1 / (x + 2 / (x + 3 / (x + 4 / (x + 0.65))))) / SQRT_2PI;
  return score > 0 ? 1 - tail : tail;
}

/** The score below which a share of the standard normal lies; 0 < share < 1. */
export function normalScore(share: number): number {
  let score = probit(share);
  // The library's value is right to 4 digits; each of Newton's steps doubles them.
  for (let i = 0; i < 3; i += 1) score -= (normalShare(score) - share) / normalDensity(score);
  return score;
}

/** Share of the way from the middle of a range to its end that belongs to a score, 0 to 1. */
const shareOfWay = (score: number) => 1 - Math.sqrt(2 * normalShare(-Math.abs(score)));

/** The figure of a range at a score: `parameterAt` at the share of the standard normal below the score. */
export function figureAt({ low, central, high }: Interval, score: number): number {
  const end = score < 0 ? low : high;
  const share = shareOfWay(score);
  if (low <= 0) return central + (end - central) * share;
  return central * Math.exp(Math.log(end / central) * share);
}

/** Derivative of the figure by the score; at 0 that of the upper side. */
export function figureSlopeAt(range: Interval, score: number): number {
  const { low, central, high } = range;
  const tail = normalShare(-Math.abs(score));
  if (tail === 0) return 0;
  const way = normalDensity(score) / Math.sqrt(2 * tail);
  const [end, sign] = score < 0 ? [low, -1] : [high, 1];
  if (low <= 0) return sign * (end - central) * way;
  return sign * Math.log(end / central) * figureAt(range, score) * way;
}

/** Standard normal score of the 90 % point. */
export const Z90 = 1.2815515655446004;
const WAY_90 = shareOfWay(Z90);

/**
 * The range whose draws have their median, 10 % and 90 % points where a normal distribution of scores on
 * another range puts them.
 */
export function rangeWithin(range: Interval, score: number, sd: number): Interval {
  const central = figureAt(range, score);
  const endFor = (side: number) => {
    const point = figureAt(range, score + side * Z90 * sd);
    if (range.low <= 0) return central + (point - central) / WAY_90;
    return central * Math.exp(Math.log(point / central) / WAY_90);
  };
  return { low: Math.max(endFor(-1), range.low), central, high: Math.min(endFor(1), range.high) };
}

/** Standard deviation of the logarithm that belongs to the 10 and 90 % points of such a distribution. */
export function spreadOfLog(range: Interval, score: number, sd: number): number {
  const point = (side: number) => figureAt(range, score + side * Z90 * sd);
  const least = Number.MIN_VALUE;
  return (Math.log(point(1)) - Math.log(Math.max(point(-1), least))) / (2 * Z90);
}
