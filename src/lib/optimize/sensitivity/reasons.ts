// Which reason can be given for a blend designed for a brief: the prices of its wishes, the wishes that
// clash where it misses some, or why there is neither; and why a named hop is not in it.
import type { Blend, Clash, Price, WhyNot } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/tables/model.ts';
import type { Clock } from '#optimize/pacing/clock.ts';
import { clashing } from './iis.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { buysPackages, withPackages } from '#optimize/problem/packages.ts';
import {
  chosenOf,
  pricing,
  settlingOf,
  columnsOfAdditions,
  type SettledBlend,
} from './shadow-prices.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { whyNot } from './why-not.ts';

/** The reason there is for a blend; what takes time is still to be run. */
export type Reason =
  | {
      readonly kind: 'priced';
      readonly settled: SettledBlend;
      readonly seeking: Generator<undefined, Price[]>;
    }
  | { readonly kind: 'clash'; readonly seeking: Generator<undefined, Clash | null> }
  | { readonly kind: 'unpriced'; readonly why: string };

/** Why the wishes of a brief that asks for the closest match are not priced. */
const CLOSENESS_UNPRICED =
  'The closest match does not trade hops against wishes, so wishes have no price. Minimise weight, cost or leaf to see what each one costs.';
const PACKAGES_UNPRICED =
  'Hops are bought in whole packages, so a little more of a wish costs nothing or a package: the wishes have no price.';
const SEVERAL_UNPRICED =
  'At this blend several wishes bind at once, so none has a price of its own.';

/** A blend designed for a brief, where the problem is the one the brief states. */
export interface DesignedFor {
  readonly model: Model;
  readonly brief: Brief;
  readonly problem: BlendProblem;
  readonly blend: Blend;
}

/**
 * The reason to give for a blend.
 * @param missed whether it is what is left where no blend meets the brief.
 * @param clock says when to stop looking for a clash.
 */
export function* reasonFor(
  { model, brief, problem, blend }: DesignedFor,
  missed: boolean,
  clock: Clock,
): Generator<undefined, Reason> {
  if (brief.minimise === 'closest') return { kind: 'unpriced', why: CLOSENESS_UNPRICED };
  if (missed) return { kind: 'clash', seeking: clashing(model, brief, clock) };
  const settled = yield* settlingOf(model, brief, blend.additions);
  if (settled) return { kind: 'priced', settled, seeking: pricing(settled) };
  return { kind: 'unpriced', why: buysPackages(problem) ? PACKAGES_UNPRICED : SEVERAL_UNPRICED };
}

/** The doses of a blend in the columns of its problem. */
export function dosesOf({ problem, brief, blend }: Omit<DesignedFor, 'model'>): Doses {
  const chosen = chosenOf(brief, blend.additions);
  const columns = columnsOfAdditions(problem, chosen);
  return withPackages(problem, { columns, doses: chosen.map((a) => a.grams / problem.beerL) });
}

/**
 * Why a hop is not in a blend.
 * @param settled the blend's best doses; `null` where they could not be settled.
 * @param clock says when to stop proving.
 */
export function reasonWithout(
  designed: DesignedFor,
  settled: SettledBlend | null,
  hop: string,
  clock: Clock,
): Generator<undefined, WhyNot> {
  const { model, brief, problem, blend } = designed;
  // What the blend comes to, as the search counts it.
  const objective = fixedObjective(problem.fixed, brief) + objectiveOf(problem, dosesOf(designed));
  return whyNot(model, brief, problem, blend, settled, objective, hop, clock);
}
