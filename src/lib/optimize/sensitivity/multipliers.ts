// What each bound of a problem with a fixed support is worth at its optimum: the multipliers of the
// conditions of Karush, Kuhn and Tucker, found by least squares over the bounds that are met without
// room, then made exact together with the doses by Newton's method.
import { addCurvature, gradientOf, roomOf, type Bound } from './bounds.ts';
import { finished } from '#optimize/pacing/clock.ts';
import {
  FINE_GAP,
  FIXED_GAP,
  fixingOptimum,
  type FixedOptimum,
} from '#optimize/search/fixed-support.ts';
import { dot, nonNegativeFit, solved } from '#optimize/lp/least-squares.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { boundsOf } from './wish-bounds.ts';

interface Priced {
  readonly bound: Bound;
  /** Change of the objective per change of `bound.bound` to the harder side; above 0. */
  readonly multiplier: number;
}

export interface Multipliers {
  /** The optimum, exact to rounding. */
  readonly x: Float64Array;
  readonly objective: number;
  readonly bounds: readonly Bound[];
  /** Bounds that hold the optimum where it is. */
  readonly binding: readonly Priced[];
}

/** Rooms, as a share of the bound's own size, within which a bound may be a binding one. */
const NEAR = [1e-7, 1e-5, 1e-3, 1e-1];
const ROUNDS = 40;

/** Newton's method on the doses and multipliers of a given set of binding bounds. */
function newton(
  problem: BlendProblem,
  start: Float64Array,
  bounds: readonly Bound[],
  first: Float64Array,
): { x: Float64Array; multipliers: Float64Array } | null {
  const n = start.length;
  const m = bounds.length;
  const x = Float64Array.from(start);
  const multipliers = Float64Array.from(first);
  for (let round = 0; round < 30; round += 1) {
    const gradients = bounds.map((b) => gradientOf(b, problem, x));
    const matrix = Array.from({ length: n + m }, () => new Float64Array(n + m));
    bounds.forEach((b, k) => addCurvature(b, problem, x, -multipliers[k]!, matrix));
    const right = new Float64Array(n + m);
    for (let j = 0; j < n; j += 1) {
      right[j] = -problem.objective[j]!;
      gradients.forEach((g, k) => {
        matrix[j]![n + k] = -g[j]!;
        matrix[n + k]![j] = g[j]!;
      });
    }
    bounds.forEach((b, k) => (right[n + k] = -roomOf(b, problem, x)));
    // The unknowns are the step in x and the new multipliers.
    const step = solved(matrix, right);
    if (!step || step.some((s) => !Number.isFinite(s))) return null;
    let size = 0;
    for (let j = 0; j < n; j += 1) {
      x[j]! += step[j]!;
      size = Math.max(size, Math.abs(step[j]!) / (1e-3 + Math.abs(x[j]!)));
    }
    let change = 0;
    for (let k = 0; k < m; k += 1) {
      change = Math.max(change, Math.abs(step[n + k]! - multipliers[k]!));
      multipliers[k] = step[n + k]!;
    }
    const scale = multipliers.reduce((a, b) => Math.max(a, Math.abs(b)), 1e-12);
    if (size < 1e-11 && change < 1e-9 * scale) return { x, multipliers };
  }
  return null;
}

/** The optimum of a problem made by `fixedAdditions`, with its multipliers; `null` as for `multipliersOf`. */
export function* settling(problem: BlendProblem): Generator<undefined, Multipliers | null> {
  const optimum = yield* fixingOptimum(problem);
  const found = optimum && (yield* multipliersOf(problem, optimum));
  if (found || !optimum) return found;
  // Where the objective hardly changes, the doses may lie far from the best ones: they are sought to a finer gap.
  const finer = yield* fixingOptimum(problem, FINE_GAP);
  return finer && (yield* multipliersOf(problem, finer));
}

/**
 * The multipliers at an optimum found by `fixedOptimum`; `null` where they are not unique (two
 * bounds that say the same, doses that may be traded at no cost) or Newton's method does not converge.
 */
function* multipliersOf(
  problem: BlendProblem,
  optimum: FixedOptimum,
): Generator<undefined, Multipliers | null> {
  for (const near of NEAR) {
    const found = yield* trying(problem, optimum, near);
    if (found) return found;
  }
  return null;
}

/** Bounds in units of their own size, so that rooms and gradients compare. */
function sizesOf(problem: BlendProblem, bounds: readonly Bound[], x: Float64Array): number[] {
  return bounds.map((b) => {
    const gradient = gradientOf(b, problem, x);
    return gradient.reduce((sum, v, j) => sum + Math.abs(v) * (x[j]! + 1e-3), 0) || 1;
  });
}

/**
 * The optimum of a problem a little changed, followed from the one before; `null` where it cannot
 * be. Local: another optimum may have become the better one.
 */
export function followed(problem: BlendProblem, before: Multipliers): Multipliers | null {
  const bounds = boundsOf(problem, before.x);
  if (bounds.length !== before.bounds.length) return null;
  const active = before.binding.map(({ bound }) => before.bounds.indexOf(bound));
  const weights = before.binding.map((b) => b.multiplier);
  return finished(improving(problem, before.x, bounds, active, weights));
}

function* trying(
  problem: BlendProblem,
  optimum: FixedOptimum,
  within: number,
): Generator<undefined, Multipliers | null> {
  const { x } = optimum;
  const bounds = boundsOf(problem, x);
  const sizes = sizesOf(problem, bounds, x);
  const room = (k: number) => roomOf(bounds[k]!, problem, x) / sizes[k]!;
  const near = bounds.flatMap((_, k) => (room(k) < within ? [k] : []));
  const norms = near.map(
    (k) =>
      Math.sqrt(dot(gradientOf(bounds[k]!, problem, x), gradientOf(bounds[k]!, problem, x))) || 1,
  );
  const columns = near.map((k, i) => gradientOf(bounds[k]!, problem, x).map((v) => v / norms[i]!));
  const fit = nonNegativeFit(columns, problem.objective);
  const active = near.filter((_, i) => fit[i]! > 0);
  const first = near.flatMap((_, i) => (fit[i]! > 0 ? [fit[i]! / norms[i]!] : []));
  const found = yield* improving(problem, x, bounds, active, first);
  if (!found) return null;
  const off = Math.abs(found.objective - optimum.objective);
  return off > 2 * FIXED_GAP * optimum.objective + 1e-9 ? null : found;
}

/** The optimum near x with these multipliers: bounds are let go or taken in until all conditions hold. */
function* improving(
  problem: BlendProblem,
  start: Float64Array,
  bounds: readonly Bound[],
  picked: readonly number[],
  weights: readonly number[],
): Generator<undefined, Multipliers | null> {
  let active = [...picked];
  let first = Float64Array.from(weights);
  const sizes = sizesOf(problem, bounds, start);
  for (let round = 0; round < ROUNDS; round += 1) {
    yield;
    const rest = newton(
      problem,
      start,
      active.map((k) => bounds[k]!),
      first,
    );
    if (!rest) return null;
    const worst = rest.multipliers.reduce((p, v, k) => (v < rest.multipliers[p]! ? k : p), 0);
    const scale = rest.multipliers.reduce((a, b) => Math.max(a, Math.abs(b)), 1e-12);
    if (active.length > 0 && rest.multipliers[worst]! < -1e-9 * scale) {
      active = active.filter((_, k) => k !== worst);
      first = rest.multipliers.filter((_, k) => k !== worst);
      continue;
    }
    let broken = -1;
    let by = -1e-8;
    bounds.forEach((b, k) => {
      const r = roomOf(b, problem, rest.x) / sizes[k]!;
      if (!active.includes(k) && r < by) [broken, by] = [k, r];
    });
    if (broken >= 0) {
      active = [...active, broken];
      first = Float64Array.from([...rest.multipliers, 0]);
      continue;
    }
    const { x } = rest;
    const objective = dot(problem.objective, x);
    const exact = boundsOf(problem, x);
    const binding = active.map((k, i) => ({ bound: exact[k]!, multiplier: rest.multipliers[i]! }));
    return {
      x,
      objective,
      bounds: exact,
      binding: binding.filter((p) => p.multiplier > 1e-9 * scale * 1e-3),
    };
  }
  return null;
}
