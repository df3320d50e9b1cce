// Seeded draws of everything uncertain: parameters, thresholds, lot composition.
// Every unknown takes the same points, one in each stratum of equal probability, in an order that the seed and
// its name decide. So a band is the same to the digit each time, needs few draws, and a lot keeps its draws
// whatever else is in the blend.
import { randomLcg, randomNormal } from 'd3';
import { probit } from 'simple-statistics';
import { COMPOUNDS, type CompoundId } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import type { Model, ParameterId } from '#engine/tables/model.ts';
import type { Values } from '#engine/symbols/program.ts';
import { weightRange } from '#engine/symbols/rows.ts';
import { PARAMETERS, THRESHOLDS, WEIGHTS, type Input } from '#engine/symbols/term.ts';
import { learnedDraws, parameterKey, thresholdKey, weightKey } from './learned.ts';

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

/** How many draws, and which. */
export interface Sampling {
  /** Number of draws, 20 to 10,000. */
  readonly samples: number;
  /** Any whole number; another one gives other draws. */
  readonly seed: number;
}

/**
 * Mixes the bits of a 32-bit number so that neighbouring numbers become unlike (the finalizer of a hash
 * function).
 */
function scattered(bits: number): number {
  let h = bits | 0;
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return (h ^ (h >>> 16)) >>> 0;
}

function hashOf(name: string, seed: number): number {
  let h = scattered(seed + 0x9e3779b9);
  for (let i = 0; i < name.length; i += 1) h = Math.imul(h ^ name.charCodeAt(i), 0x01000193);
  return scattered(h);
}

const normalPoints = new Map<number, Float64Array>();

/** Rising standard normal scores, one in the middle of each of `samples` strata of equal probability. */
function normalPointsOf(samples: number): Float64Array {
  let points = normalPoints.get(samples);
  if (!points) {
    points = Float64Array.from({ length: samples }, (_, i) => probit((i + 0.5) / samples));
    normalPoints.set(samples, points);
  }
  return points;
}

/** Puts `points` into the order that belongs to an unknown; all orders are equally likely. */
function inOrderOf(name: string, seed: number, points: Float64Array): Float64Array {
  const order = points.slice();
  const start = hashOf(name, seed);
  for (let i = order.length - 1; i > 0; i -= 1) {
    const j = Math.floor((scattered(start + Math.imul(i, 0x9e3779b9)) / 2 ** 32) * (i + 1));
    const kept = order[i]!;
    order[i] = order[j]!;
    order[j] = kept;
  }
  return order;
}

/** Standard normal scores of an unknown, one per draw. */
export function normalScores(name: string, { samples, seed }: Sampling): Float64Array {
  return inOrderOf(name, seed, normalPointsOf(samples));
}

/**
 * The value of a parameter or threshold at a probability in (0, 1); at 0.5 the central one. The distribution is
 * two half triangles that meet at the central value, each with half the probability, so that it is mode and
 * median; on the log scale where `low` is above zero.
 */
export function parameterAt({ low, central, high }: Interval, probability: number): number {
  const u = 2 * probability - 1;
  const end = u < 0 ? low : high;
  const share = 1 - Math.sqrt(1 - Math.abs(u));
  if (low <= 0) return central + (end - central) * share;
  return central * Math.exp(Math.log(end / central) * share);
}

/** Draws of a parameter or threshold, one per draw. */
export function parameterDraws(
  name: string,
  range: Interval,
  { samples, seed }: Sampling,
): Float64Array {
  const points = new Float64Array(samples);
  for (let i = 0; i < samples; i += 1) points[i] = parameterAt(range, (i + 0.5) / samples);
  return inOrderOf(name, seed, points);
}

/**
 * Parameters, thresholds and descriptor weights in every draw: an array for each, or one value where it is not
 * drawn.
 */
export interface Science {
  readonly parameters: Readonly<Record<ParameterId, Values>>;
  readonly thresholds: Readonly<Partial<Record<CompoundId, Float64Array>>>;
  /** By `<axis> <driver>`. */
  readonly weights: Readonly<Record<string, Float64Array>>;
}

const drawnScience = new WeakMap<Model, Map<string, Science>>();

/** Draws of everything that does not depend on the lots. Computed once for a model and a sampling. */
export function scienceOf(model: Model, sampling: Sampling): Science {
  const known = drawnScience.get(model) ?? new Map<string, Science>();
  drawnScience.set(model, known);
  const key = `${sampling.samples} ${sampling.seed}`;
  let science = known.get(key);
  if (!science) {
    science = drawScience(model, sampling);
    known.set(key, science);
  }
  return science;
}

/**
 * Begins the ids of the rows that correct a sum of medians to the median of sums; they are 1 in a drawn world.
 */
export const MIDDLES = 'aroma.middle.';

/** Draws of what was learned, by id; empty where nothing was learned. */
export function learnedOf(model: Model, sampling: Sampling): ReadonlyMap<string, Float64Array> {
  const key = `${sampling.samples} ${sampling.seed}`;
  return learnedDraws(model, (name) => normalScores(name, sampling), key);
}

function drawScience(model: Model, sampling: Sampling): Science {
  const learned = learnedOf(model, sampling);
  const drawn = (key: string, name: string, range: Interval) =>
    learned.get(key) ?? parameterDraws(name, range, sampling);
  const parameters = {} as Record<ParameterId, Values>;
  for (const id of Object.keys(model.parameters) as ParameterId[]) {
    const row = model.parameters[id];
    if (id.startsWith(MIDDLES)) parameters[id] = 1;
    else if (row.fixed) parameters[id] = row.central;
    else parameters[id] = drawn(parameterKey(id), `parameter ${id}`, row);
  }
  const thresholds: Partial<Record<CompoundId, Float64Array>> = {};
  for (const c of COMPOUNDS) {
    const { threshold } = model.compounds[c];
    if (threshold) thresholds[c] = drawn(thresholdKey(c), `threshold ${c}`, threshold);
  }
  const weights: Record<string, Float64Array> = {};
  for (const row of model.weights) {
    const name = `${row.axis} ${row.driver}`;
    const key = weightKey(row.axis, row.driver);
    weights[name] = drawn(key, `weight ${name}`, weightRange(row));
  }
  return { parameters, thresholds, weights };
}

/** The draws of an input that does not belong to a lot; `undefined` for an input of a lot. */
export function scienceValues(
  { parameters, thresholds, weights }: Science,
  { of, name }: Input,
): Values | undefined {
  if (of === PARAMETERS) return parameters[name as ParameterId];
  if (of === WEIGHTS) return weights[name];
  return of === THRESHOLDS ? thresholds[name as CompoundId] : undefined;
}
