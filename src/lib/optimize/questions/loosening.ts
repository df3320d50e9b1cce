// Which single wish or limit, loosened how far, lets a blend cost no more than a goal. Each is first left
// out altogether: where even that does not help, no loosening of it does, as far as the search proves.
// Else the least loosening is found by halving: one search for each figure tried, its ceiling the goal.
import type { Loosening } from '#shared/answers/comparison.ts';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/tables/model.ts';
import { withBeerPriced } from '#optimize/problem/beer-held.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { stating } from '#optimize/problem/stating.ts';
import { listening, pause, run, type Run, type RunBudget } from '#optimize/pacing/clock.ts';
import { Search } from '#optimize/search/search.ts';

/** Loosenings are found to this part of an intensity; 5 IBU count as one intensity, and so does one hop more. */
const SHOWN_STEP = 0.1;
const IBU_PER_INTENSITY = 5;
/** No wish or bitterness is loosened by more than this, in intensity. */
const MOST = 12.8;

/** One figure of a brief that may be loosened. */
interface Loosenable {
  readonly path: string;
  readonly from: number;
  /** The figure after a loosening, in intensity. */
  readonly to: (by: number) => number;
  readonly loosened: (to: number) => Brief;
}

function wishesOf(brief: Brief): Loosenable[] {
  const { target } = brief;
  const withWish = (axis: AxisId, side: string, to: number): Brief => {
    return { ...brief, target: { ...target, [axis]: { ...target[axis], [side]: to } } };
  };
  return AXES.flatMap((axis) => {
    const { at_least: least, at_most: most } = target[axis] ?? {};
    const path = `target.${axis}`;
    return [
      ...(least === undefined || least === 0
        ? []
        : [
            {
              path: `${path}.at_least`,
              from: least,
              to: (by: number) => Math.max(0, least - by),
              loosened: (to: number) => withWish(axis, 'at_least', to),
            },
          ]),
      ...(most === undefined
        ? []
        : [
            {
              path: `${path}.at_most`,
              from: most,
              to: (by: number) => Math.min(10, most + by),
              loosened: (to: number) => withWish(axis, 'at_most', to),
            },
          ]),
    ];
  });
}

function bitternessOf(brief: Brief): Loosenable[] {
  const { limits } = brief;
  return (['ibu_at_least', 'ibu_at_most'] as const).flatMap((limit) => {
    const from = limits[limit];
    if (from === undefined || (limit === 'ibu_at_least' && from === 0)) return [];
    const sign = limit === 'ibu_at_least' ? -1 : 1;
    return [
      {
        path: `limits.${limit}`,
        from,
        to: (by: number) => Math.min(1000, Math.max(0, from + sign * by * IBU_PER_INTENSITY)),
        loosened: (to: number) => ({ ...brief, limits: { ...limits, [limit]: to } }),
      },
    ];
  });
}

function hopsOf(brief: Brief): Loosenable[] {
  const { limits } = brief;
  const { hops_at_most: from } = limits;
  if (from === undefined) return [];
  return [
    {
      path: 'limits.hops_at_most',
      from,
      to: (by: number) => Math.min(50, from + Math.ceil(by - 1e-9)),
      loosened: (to: number) => ({ ...brief, limits: { ...limits, hops_at_most: to } }),
    },
  ];
}

/** The cost of a blend at the ceiling or below; `null` where there is none, `unknown` where time ran out. */
function* within<P>(
  model: Model,
  brief: Brief,
  ceiling: number,
  { clock, until, progress, beerPricePerL: beer }: LooseningBudget<P>,
): Run<P, number | null | 'unknown'> {
  const stated = yield* listening(clock, stating(model, brief), progress, until);
  if (!stated) return 'unknown';
  if (!stated.ok) return null;
  const problem = beer ? withBeerPriced(model, brief, stated.value, beer) : stated.value;
  const base = fixedObjective(problem.fixed, brief);
  const search = new Search(problem, 'objective', 0, 0);
  search.ceiling = ceiling - base;
  const first = {
    step: () => search.incumbent === null && search.step(),
    get incumbent() {
      return search.incumbent;
    },
  };
  yield* run(clock, first, until, progress);
  if (search.incumbent) return base + search.incumbent.merit;
  return search.state.done ? null : 'unknown';
}

interface LooseningBudget<Progress> extends RunBudget<Progress> {
  /** What a litre of the beer held back counts for; 0 for nothing. */
  readonly beerPricePerL: number;
}

/**
 * The loosenings of one wish, one bound on the bitterness or the number of hops that alone let a blend cost no more than
 * `ceiling`, the nearest first. `untried` counts those the time did not suffice for.
 */
export function* loosening<P>(
  model: Model,
  brief: Brief,
  ceiling: number,
  budget: LooseningBudget<P>,
): Run<P, { readonly loosenings: readonly Loosening[]; readonly untried: number }> {
  const { clock, until, progress } = budget;
  const found: Loosening[] = [];
  const all = [...wishesOf(brief), ...bitternessOf(brief), ...hopsOf(brief)];
  let untried = 0;
  for (const [i, { path, from, to, loosened }] of all.entries()) {
    if (clock.stopped || clock.now() > until) {
      untried += all.length - i;
      break;
    }
    const share = { ...budget, until: clock.now() + (until - clock.now()) / (all.length - i) };
    const tried = function* (by: number): Run<P, number | null | 'unknown'> {
      // A try may be too short to pause by itself, and there are many.
      yield* pause(clock, progress());
      return yield* within(model, loosened(to(by)), ceiling, share);
    };
    let least = MOST;
    let cost = yield* tried(least);
    if (cost === 'unknown') untried += 1;
    if (typeof cost !== 'number') continue;
    // Whole tenths: below `missed` tenths none is known, at `reached` one is.
    let [missed, reached] = [0, Math.round(MOST / SHOWN_STEP)];
    while (reached - missed > 1 && !clock.over) {
      const middle = Math.floor((missed + reached) / 2);
      const there = yield* tried(middle * SHOWN_STEP);
      if (typeof there === 'number') [reached, cost, least] = [middle, there, middle * SHOWN_STEP];
      else missed = middle;
    }
    const end = to(least);
    const unit = path.startsWith('limits.ibu') ? IBU_PER_INTENSITY : 1;
    found.push({ path, from, to: end, by: Math.abs(end - from) / unit, cost });
  }
  found.sort((a, b) => a.by - b.by || a.cost - b.cost);
  return { loosenings: found, untried };
}
