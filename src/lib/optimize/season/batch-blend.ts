// One batch of a season on its own: its problem under what a node of the plan's tree decides of it, what it
// costs at least at given prices of the shared lots, and the blends found on the way.
import type { Grams } from '#shared/units.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import { limitOn } from '#optimize/problem/limits.ts';
import type { BlendProblem, LinearLimit } from '#optimize/problem/problem.ts';
import { Search } from '#optimize/search/search.ts';
import { takenBy, type SeasonBlock, type SeasonProblem } from './season-problem.ts';

/** A blend of a batch, with what it counts and what it takes of the shared lots. */
export interface BatchBlend {
  readonly doses: Doses;
  /** Its own objective; packages of shared lots are not in it. */
  readonly own: number;
  readonly taken: ReadonlyMap<number, Grams>;
  /** Numbers of the hops in it. */
  readonly hops: ReadonlySet<number>;
}

/** What a node decides of a batch. */
export type BatchDecision =
  | { readonly kind: 'hop'; readonly hop: number; readonly isIn: boolean }
  | {
      readonly kind: 'grams';
      readonly lot: number;
      readonly side: 'most' | 'least';
      readonly grams: Grams;
    };

/** Grams by which a decision may be missed: the rounding of sums. */
const ROUNDING_G = 1e-6;

/** Whether a blend keeps what is decided. */
export function keeps({ taken, hops }: BatchBlend, decisions: readonly BatchDecision[]): boolean {
  return decisions.every((decision) => {
    if (decision.kind === 'hop') return hops.has(decision.hop) === decision.isIn;
    const grams = taken.get(decision.lot) ?? 0;
    return decision.side === 'most'
      ? grams <= decision.grams + ROUNDING_G
      : grams >= decision.grams - ROUNDING_G;
  });
}

/** Holds the grams of a lot in a batch. */
function heldGrams(
  { problem, lotOf, brief }: SeasonBlock,
  lot: number,
  side: 'most' | 'least',
  grams: Grams,
): LinearLimit {
  const sign = side === 'most' ? 1 : -1;
  const columns = [...lotOf.keys()].filter((j) => lotOf[j] === lot);
  const only = new Map(columns.map((j) => [j, sign]));
  const hop = (brief.candidates[lot] as { hop: string }).hop;
  return limitOn(
    { kind: 'stock', hop },
    (sign * grams) / problem.beerL,
    only,
    problem.columns.length,
  );
}

/** The batch with no more of each lot than this; lots that are not named stay as they are. */
export function within(block: SeasonBlock, most: ReadonlyMap<number, Grams>): BlendProblem {
  const { problem, lotOf } = block;
  // What the batch may take at most of a lot stands in place of all that there is of it.
  const isHeld = ({ of, only }: LinearLimit) =>
    of.kind === 'stock' && [...(only?.keys() ?? [])].some((j) => most.has(lotOf[j]!));
  const limits = [
    ...problem.limits.filter((limit) => !isHeld(limit)),
    ...[...most].map(([lot, grams]) => heldGrams(block, lot, 'most', Math.max(0, grams))),
  ];
  const columns = problem.columns.map((column, j) => {
    const grams = most.get(lotOf[j]!);
    if (grams === undefined) return column;
    const dose = Math.max(0, grams) / problem.beerL;
    const { step, least } = problem;
    const whole = step > 0 ? Math.floor(dose / step + 1e-9) * step : dose;
    const fits = whole < least * (1 - 1e-9) ? 0 : whole;
    return { ...column, most: Math.min(column.most, fits) };
  });
  return { ...problem, columns, limits };
}

/** The batch as a node decides of it; `null` where more hops are in than there may be. */
export function decided(
  block: SeasonBlock,
  decisions: readonly BatchDecision[],
): BlendProblem | null {
  let { problem } = block;
  if (decisions.length === 0) return problem;
  const isIn = new Set(problem.required);
  const isOut = new Set<number>();
  const limits = [...problem.limits];
  for (const decision of decisions) {
    if (decision.kind === 'hop') (decision.isIn ? isIn : isOut).add(decision.hop);
    else limits.push(heldGrams(block, decision.lot, decision.side, decision.grams));
  }
  const needed = problem.required.filter((v) => isOut.has(v));
  if (isIn.size > problem.hopsAtMost || needed.length > 0) return null;
  const columns = problem.columns.map((column) =>
    isOut.has(column.variety) ? { ...column, most: 0 } : column,
  );
  problem = { ...problem, columns, limits, required: [...isIn] };
  return problem;
}

/** The batch with its shared lots at a price, per gram. */
export function priced(
  block: SeasonBlock,
  problem: BlendProblem,
  prices: Float64Array,
  ownCounts: boolean,
): BlendProblem {
  const { lotOf } = block;
  const objective = Float64Array.from(problem.objective, (own, j) => {
    return (ownCounts ? own : 0) + problem.beerL * prices[lotOf[j]!]!;
  });
  return { ...problem, objective };
}

export function blendOf(season: SeasonProblem, block: SeasonBlock, doses: Doses): BatchBlend {
  const { problem } = block;
  return {
    doses,
    own: objectiveOf(problem, doses),
    taken: takenBy(season, block, doses),
    hops: new Set(doses.columns.map((j) => problem.columns[j]!.variety)),
  };
}

/** What a search of one batch came to. */
export interface BatchFound {
  /** Proven: every blend costs at least this at the prices asked; infinite where there is none. */
  readonly bound: number;
  /** The best of it found; `null` where none was. */
  readonly doses: Doses | null;
}

/**
 * The best blend of a batch problem, until it is known so closely; at most so many nodes of its tree.
 * @param known blends to begin from.
 * @param tolerance gap that is close enough, in the objective.
 * @param met called with each better blend on the way.
 */
export function* bestOf(
  problem: BlendProblem,
  slack: number,
  known: Iterable<Doses>,
  tolerance: number,
  nodes: number,
  met: (doses: Doses) => void = () => undefined,
): Resting<BatchFound> {
  const search = new Search(problem, 'objective', slack, 0);
  for (const doses of known) search.offer(doses);
  let last = search.incumbent;
  while (search.step()) {
    const { incumbent, bound } = search.state;
    if (incumbent && incumbent !== last) met(incumbent.doses);
    last = incumbent;
    if (incumbent && incumbent.merit - bound <= tolerance) break;
    if (search.nodes > nodes) break;
    yield;
  }
  const { incumbent, bound, done } = search.state;
  if (incumbent) return { bound, doses: incumbent.doses };
  return { bound: done ? Infinity : bound, doses: null };
}
