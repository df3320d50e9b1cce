// The blend whose wishes hold in a share of lots: lots vary from one to the next, so a blend cut to
// their central figures holds in few. Drawn is what is in the lots and nothing else: thresholds and
// parameters are the same for every lot, and no blend guards against them. The choice of blend is a
// climb and a search by moves without a proof of their own; what is proven is a bound: a blend that
// holds in k of n scenarios costs no less than the k-th cheapest of the n that each hold in one.
import type { Hold } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/tables/model.ts';
import { additionsOf } from '#optimize/problem/check.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { lotsIn, stating, statingIn, tying } from '#optimize/problem/stating.ts';
import { type AxisRow, type BlendProblem } from '#optimize/problem/problem.ts';
import { better, Moves, type ScoredDoses } from './robust-moves.ts';
import { cutAll, cutTo, Supports, type Support } from './robust-supports.ts';
import { LOT_SAMPLING, shareHeld } from '#optimize/problem/chance.ts';
import { drawingWorlds, missesIn, worldAt } from './scenarios.ts';
import { Search } from '#optimize/search/search.ts';
import { objectiveOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

const SCENARIOS = 200;
const SCENARIO_SEED = 41;

/** Parts of a search looked at per scenario for its bound, and for a blend that holds in it. */
const NODES_PER_SCENARIO = 12;
/** Columns among which blends are sought, those of the most scenarios first. */
const COLUMNS_MAX = 16;
/** Blends from which the moves start. */
const STARTS_MAX = 5;
/** Share of the time given to the bound. */
const BOUND_SHARE = 0.25;
/** Shares by which the wishes are drawn in for blends to start from. */
const INSETS = [0.05, 0.1, 0.2, 0.35];
const NODES_PER_INSET = 200;

interface Robust {
  readonly doses: Doses;
  readonly hold: Hold;
  /** Proven lower bound on the objective of any blend that holds in the share asked for. */
  readonly lower_bound: number;
}

/** The same blend in the columns of a problem cut to some columns. */
function within({ columns, doses }: Doses, chosen: readonly number[]): Doses {
  return { columns: columns.map((j) => chosen.indexOf(j)), doses };
}

interface Scenario {
  readonly problem: BlendProblem;
  /** Least objective of a blend that holds in it; infinite where none does. */
  readonly bound: number;
  readonly doses: Doses | null;
}

function* scenarioOf(problem: BlendProblem, deadline: number): Generator<undefined, Scenario> {
  const search = new Search(problem, 'objective', 0, 0);
  for (let i = 0; i < NODES_PER_SCENARIO && performance.now() < deadline; i += 1) {
    yield;
    if (!search.step()) break;
  }
  const { incumbent, bound, done } = search.state;
  return {
    problem,
    bound: done && !incumbent ? Infinity : bound,
    doses: incumbent?.doses ?? null,
  };
}

/**
 * The best blend found whose wishes and bitterness window hold at the central figures and in at
 * least `share` of the scenarios. Where none is found: the one that holds in most, and `reached` is
 * false. `lower_bound` holds for every blend that would do.
 * @param central the best blend for the central figures, proven to cost at least `centralBound`.
 * @param until time to stop, as `performance.now()` tells it.
 */
export function* holding(
  model: Model,
  brief: Brief,
  central: Doses,
  centralBound: number,
  share: number,
  until: number,
): Generator<undefined, Robust | null> {
  const stated = yield* tying(model, brief);
  if (!stated.ok) return null;
  const boundUntil = performance.now() + (until - performance.now()) * BOUND_SHARE;
  const lots = lotsIn(stated.value);
  const problem = yield* stating(model, brief);
  if (!problem.ok) return null;
  const whole = problem.value;
  const scenarios: Scenario[] = [];
  const worlds = yield* drawingWorlds(model, lots, SCENARIOS, SCENARIO_SEED);
  for (let k = 0; k < SCENARIOS; k += 1) {
    yield;
    const there = yield* statingIn(model, brief, stated.value, worldAt(worlds, k));
    if (!there.ok) return null;
    scenarios.push(yield* scenarioOf(there.value, boundUntil));
  }
  const needed = Math.max(1, Math.ceil(share * SCENARIOS - 1e-9));
  const bounds = scenarios.map((s) => s.bound).sort((a, b) => a - b);
  const kth = bounds[needed - 1]!;
  const possible = bounds.filter((b) => b < Infinity).length;

  const problems = scenarios.map((s) => s.problem);
  const stop = () => performance.now() > until;
  const reference = Math.max(objectiveOf(whole, central), 1e-6);
  const supports = new Supports(whole, problems, reference, stop);
  const often = meanOf(scenarios.flatMap((s) => s.doses ?? [])).columns;
  let best: ScoredDoses | null = null;
  let widest: { doses: Doses; share: number } = { doses: central, share: -1 };
  const finish = function* (support: Support): Generator<undefined, void> {
    const { doses } = support;
    const chosen = [...new Set([...support.chosen, ...doses.columns, ...central.columns])];
    const cut = yield* cutAll(problems, chosen);
    const moves = new Moves(cutTo(whole, chosen), cut, needed);
    const found = yield* moves.improve(within(doses, chosen), stop);
    const outside = (d: Doses) => ({ columns: d.columns.map((j) => chosen[j]!), doses: d.doses });
    if (moves.widest && moves.widest.share > widest.share) {
      widest = { doses: outside(moves.widest.doses), share: moves.widest.share };
    }
    if (found && (!best || better(found.score, best.score))) {
      best = { doses: outside(found.doses), score: found.score };
    }
  };
  yield* finish({ chosen: often, doses: central });
  for (const start of yield* starts(whole, central, scenarios, needed, stop)) {
    if (stop()) break;
    yield* finish(yield* supports.from(start, share));
  }
  const last = (best as ScoredDoses | null)?.doses;
  if (last) yield* finish({ chosen: often, doses: last });
  const found = best as ScoredDoses | null;
  const doses = found?.score.lacking === 0 ? found.doses : widest.doses;

  const { lots: additions } = additionsOf(whole, brief, doses);
  const { lots: centralAdditions } = additionsOf(whole, brief, central);
  // The engine has the last word; its lots are those of `whole`, in the same order.
  const { name, batch, stages } = brief;
  const made = { name, batch, stages, additions };
  const own = lotsIn({ offers: whole.offers, leftOut: [], fixed: whole.fixed.additions });
  const looked = new Set([...additions, ...centralAdditions].map((a) => a.lot));
  const seen = yield* drawingWorlds(model, own, SCENARIOS, SCENARIO_SEED, looked);
  const held = shareHeld(model, brief, made, seen);
  yield;
  const heldCentrally = shareHeld(model, brief, { ...made, additions: centralAdditions }, seen);
  yield;
  const { samples, seed } = LOT_SAMPLING;
  const fresh = yield* drawingWorlds(model, own, samples, seed, looked);
  const heldFresh = shareHeld(model, brief, made, fresh);
  const base = fixedObjective(whole.fixed, brief);
  return {
    doses,
    lower_bound: Math.max(centralBound, kth < Infinity ? base + kth : 0),
    hold: {
      wanted: share,
      share: held,
      reached: held >= share - 1e-9,
      scenarios: SCENARIOS,
      seed: SCENARIO_SEED,
      fresh: {
        share: heldFresh,
        scenarios: samples,
        seed,
      },
      central_share: heldCentrally,
      extra: objectiveOf(whole, doses) - objectiveOf(whole, central),
      share_at_most: possible / SCENARIOS,
    },
  };
}

/**
 * Blends to start from: the central one, the mean of those that hold in one scenario each, ones cut to
 * tighter wishes, and the scenarios' own that come nearest to holding in enough.
 */
function* starts(
  whole: BlendProblem,
  central: Doses,
  scenarios: readonly Scenario[],
  needed: number,
  stop: () => boolean,
): Generator<undefined, Doses[]> {
  const found: { doses: Doses; lacking: number }[] = [];
  const problems = scenarios.map((s) => s.problem);
  const add = (doses: Doses) => {
    const lacking = missesIn(problems, doses)
      .subarray(0, needed)
      .reduce((a, b) => a + b, 0);
    found.push({ doses, lacking });
  };
  for (const inset of INSETS) {
    const axes = whole.axes.map((r) => insetRow(r, inset));
    const search = new Search({ ...whole, axes }, 'objective', 0, 0);
    for (let i = 0; i < NODES_PER_INSET && !stop() && search.step(); i += 1) yield;
    if (search.incumbent) add(search.incumbent.doses);
  }
  const own = scenarios.flatMap(({ doses }) => doses ?? []);
  for (const doses of own) {
    add(doses);
    yield;
  }
  found.sort((a, b) => a.lacking - b.lacking);
  const blends = [central, meanOf(own), ...found.map((f) => f.doses)];
  return blends.filter((b) => b.columns.length > 0).slice(0, STARTS_MAX);
}

/** The mean of blends, in the columns most of them share. */
function meanOf(blends: readonly Doses[]): Doses {
  const sums = new Map<number, number>();
  const counts = new Map<number, number>();
  for (const { columns, doses } of blends) {
    columns.forEach((j, k) => {
      sums.set(j, (sums.get(j) ?? 0) + doses[k]! / blends.length);
      counts.set(j, (counts.get(j) ?? 0) + 1);
    });
  }
  const often = [...counts].sort((a, b) => b[1] - a[1]).slice(0, COLUMNS_MAX);
  return { columns: often.map(([j]) => j), doses: often.map(([j]) => sums.get(j)!) };
}

/** A wish with its window drawn in by a share of its figures, at most to the middle. */
function insetRow(row: AxisRow, share: number): AxisRow {
  const middle = row.low > -Infinity && row.high < Infinity ? (row.low + row.high) / 2 : null;
  return {
    ...row,
    low: Math.min(row.low * (1 + share), middle ?? Infinity),
    high: Math.max(row.high / (1 + share), middle ?? 0),
  };
}
