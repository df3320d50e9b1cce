// A smooth bound on the doses, h(x) >= 0: its value, gradient and curvature, the dry-hop load's own effect
// included. Which bounds a problem has is said in wish-bounds.ts.
import { wishPath, type WishSubject } from '#shared/answers/wish-subject.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import type { PriceUnit, WishSide } from '#shared/answers/answer.ts';
import { lossPerLoad, shareAfterAdsorption, shareAtLoad } from '#engine/process/load-law.ts';
import { dot } from '#optimize/lp/least-squares.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

/** How the load scales a term: not at all, 1/(1 + D/half), or exp(-rate D). */
type Damping =
  | { readonly kind: 'none' }
  | { readonly kind: 'half'; readonly load: GramsPerLitre }
  | { readonly kind: 'decay'; readonly rate: number };

/** factor(D) (base + vector.x) */
export interface BoundTerm {
  readonly damping: Damping;
  readonly base: number;
  readonly vector: Float64Array;
}

/** sign (sum of terms - bound) >= 0 */
export interface Bound {
  /** What of the brief it is; `null` for what no brief says (a dose is not below 0). */
  readonly of: WishSubject | null;
  readonly side: WishSide;
  /** The bound in the brief's unit, and what one of that unit is in `bound`. */
  readonly asked: number;
  readonly unit: PriceUnit;
  /** Change of `bound` per one of the brief's unit, at `asked`. */
  readonly slope: number;
  readonly sign: 1 | -1;
  readonly bound: number;
  readonly terms: readonly BoundTerm[];
  /** The problem with this bound moved to another figure, in the brief's unit. */
  readonly moved: (asked: number) => BlendProblem;
  /** The figure of a blend this bound is about, from the sum of its terms. */
  readonly shown: (sum: number) => number;
}

/** The path of a bound's wish in the brief. */
export function wishOf({ of }: Bound): string | null {
  return of && wishPath(of);
}

/** Of a term that the load leaves as it is. */
export const NONE: Damping = { kind: 'none' };

/** Factor at a load with its first two derivatives. */
function factorAt(damping: Damping, load: GramsPerLitre): [number, number, number] {
  if (damping.kind === 'none') return [1, 0, 0];
  if (damping.kind === 'decay') {
    const { rate } = damping;
    const kept = shareAfterAdsorption(load, rate);
    return [kept, -rate * kept, rate * rate * kept];
  }
  const f = shareAtLoad(load, damping.load);
  const loss = lossPerLoad(load, damping.load);
  return [f, -f * loss, 2 * f * loss * loss];
}

/** Value of a bound's left side at doses x. */
export function sumOf({ terms }: Bound, { dry }: BlendProblem, x: Float64Array): number {
  const load = dot(dry, x);
  return terms.reduce(
    (sum, t) => sum + factorAt(t.damping, load)[0] * (t.base + dot(t.vector, x)),
    0,
  );
}

/** h(x), not scaled; below 0 where the bound is broken. */
export function roomOf(bound: Bound, problem: BlendProblem, x: Float64Array): number {
  return bound.sign * (sumOf(bound, problem, x) - bound.bound);
}

/** Gradient of h; where the load `stays`, as if it did not follow the doses. */
export function gradientOf(
  { terms, sign }: Bound,
  { dry }: BlendProblem,
  x: Float64Array,
  load: 'follows' | 'stays' = 'follows',
): Float64Array {
  const at = dot(dry, x);
  const gradient = new Float64Array(x.length);
  for (const { damping, base, vector } of terms) {
    const [f, slope] = factorAt(damping, at);
    const byLoad = load === 'follows' ? slope * (base + dot(vector, x)) : 0;
    for (let j = 0; j < x.length; j += 1)
      gradient[j]! += sign * (f * vector[j]! + byLoad * dry[j]!);
  }
  return gradient;
}

/** Adds weight times the second derivatives of h to a square matrix. */
export function addCurvature(
  { terms, sign }: Bound,
  { dry }: BlendProblem,
  x: Float64Array,
  weight: number,
  into: readonly Float64Array[],
): void {
  const load = dot(dry, x);
  for (const { damping, base, vector } of terms) {
    const [, slope, bend] = factorAt(damping, load);
    if (slope === 0) continue;
    const byLoad = bend * (base + dot(vector, x));
    for (let i = 0; i < x.length; i += 1) {
      for (let j = 0; j < x.length; j += 1) {
        into[i]![j]! +=
          weight *
          sign *
          (slope * (vector[i]! * dry[j]! + dry[i]! * vector[j]!) + byLoad * dry[i]! * dry[j]!);
      }
    }
  }
}
