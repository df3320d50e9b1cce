// The blend whose wishes hold in a share of lots: lots vary from one to the next, so a blend cut to
// their central figures holds in few. The choice of blend is a search by moves without a proof of its
// own; what is proven is a bound: a blend that holds in k of n scenarios costs no less than the k-th
// cheapest of the n blends that each hold in one of them.
import type { Hold } from '#shared/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Model } from '#engine/model.ts';
import { additionsOf } from './check.ts';
import { fixedUses } from './fixed-uses.ts';
import { keptObjective } from './kept.ts';
import { lotsIn, problemIn, problemOf, statedOf } from './stating.ts';
import { type AxisRow, type BlendProblem } from './problem.ts';
import { better, Moves, type Found } from './robust-moves.ts';
import { missesIn, shareHeld, worldsOf } from './scenarios.ts';
import { Search } from './search.ts';
import { objectiveOf, type Doses } from './truth.ts';

const SCENARIOS = 200;
const FRESH_SCENARIOS = 500;
const SCENARIO_SEED = 41;
const FRESH_SEED = 43;

/** Parts of a search looked at per scenario for its bound, and for a blend that holds in it. */
const NODES_PER_SCENARIO = 12;
/** Uses among which blends are sought, those of the most scenarios first. */
const USES_MAX = 16;
/** Blends from which the moves start. */
const STARTS_MAX = 5;
/** Share of the time given to the bound. */
const BOUND_SHARE = 0.4;
/** Shares by which the wishes are drawn in for blends to start from. */
const INSETS = [0.05, 0.1, 0.2, 0.35];
const NODES_PER_INSET = 200;

interface Robust {
  readonly doses: Doses;
  readonly hold: Hold;
  /** Proven lower bound on the objective of any blend that holds in the share asked for. */
  readonly lower_bound: number;
}

/** The same blend in the columns of a problem cut to some uses. */
function within({ uses, doses }: Doses, chosen: readonly number[]): Doses {
  return { uses: uses.map((j) => chosen.indexOf(j)), doses };
}

/** A problem cut to some uses with everything else as it is. */
function cutTo(problem: BlendProblem, chosen: readonly number[]): BlendProblem {
  const { hopsAtMost, least, step } = problem;
  const cut = fixedUses(problem, chosen, 0);
  const uses = cut.uses.map((u, i) => ({ ...u, most: problem.uses[chosen[i]!]!.most }));
  return { ...cut, uses, hopsAtMost, least, step };
}

interface Scenario {
  readonly problem: BlendProblem;
  /** Least objective of a blend that holds in it; infinite where none does. */
  readonly bound: number;
  readonly doses: Doses | null;
}

function scenarioOf(problem: BlendProblem, deadline: number): Scenario {
  const search = new Search(problem, 'objective', 0, 0);
  for (let i = 0; i < NODES_PER_SCENARIO && performance.now() < deadline; i += 1) {
    if (!search.step()) break;
  }
  const { incumbent, bound, done } = search.state;
  return {
    problem,
    bound: done && !incumbent ? Infinity : bound,
    doses: incumbent?.doses ?? null,
  };
}

/** Uses that matter: those of the central blend, then by the number of scenarios that use them. */
function shortlist(central: Doses, scenarios: readonly Scenario[], required: readonly number[]) {
  const counts = new Map<number, number>();
  for (const { doses } of scenarios) {
    doses?.uses.forEach((j) => counts.set(j, (counts.get(j) ?? 0) + 1));
  }
  const often = [...counts].sort((a, b) => b[1] - a[1]).map(([j]) => j);
  return [...new Set([...central.uses, ...required, ...often])].slice(
    0,
    Math.max(USES_MAX, central.uses.length + required.length),
  );
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
  const stated = statedOf(model, brief);
  if (!stated.ok) return null;
  const boundUntil = performance.now() + (until - performance.now()) * BOUND_SHARE;
  const lots = lotsIn(stated.value);
  const worlds = worldsOf(model, lots, SCENARIOS, SCENARIO_SEED);
  const problem = problemOf(model, brief);
  if (!problem.ok) return null;
  const whole = problem.value;
  const scenarios: Scenario[] = [];
  for (const world of worlds) {
    yield;
    const drawn = problemIn(model, brief, stated.value, world);
    if (!drawn.ok) return null;
    scenarios.push(scenarioOf(drawn.value, boundUntil));
  }
  const needed = Math.max(1, Math.ceil(share * SCENARIOS - 1e-9));
  const bounds = scenarios.map((s) => s.bound).sort((a, b) => a - b);
  const kth = bounds[needed - 1]!;
  const possible = bounds.filter((b) => b < Infinity).length;

  const chosen = shortlist(central, scenarios, requiredUses(whole));
  const moves = new Moves(
    cutTo(whole, chosen),
    scenarios.map((s) => cutTo(s.problem, chosen)),
    needed,
  );
  let best: Found | null = null;
  for (const start of yield* starts(whole, central, scenarios, chosen, moves, until)) {
    const found = yield* moves.improve(start, () => performance.now() > until);
    if (found && (!best || better(found.score, best.score))) best = found;
  }
  const reached = best?.score.lacking === 0;
  const pick = reached ? best!.doses : (moves.widest?.doses ?? within(central, chosen));
  const doses: Doses = { uses: pick.uses.map((j) => chosen[j]!), doses: pick.doses };

  const { lots: additions } = additionsOf(whole, brief, doses);
  const { lots: centralAdditions } = additionsOf(whole, brief, central);
  // The engine has the last word; its lots are those of `whole`, in the same order.
  const own = lotsIn({ offers: whole.offers, leftOut: [], kept: whole.kept.additions });
  const seen = worldsOf(model, own, SCENARIOS, SCENARIO_SEED);
  yield;
  const held = shareHeld(model, brief, additions, seen);
  const fresh = worldsOf(model, own, FRESH_SCENARIOS, FRESH_SEED);
  yield;
  const base = keptObjective(whole.kept, brief);
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
        share: shareHeld(model, brief, additions, fresh),
        scenarios: FRESH_SCENARIOS,
        seed: FRESH_SEED,
      },
      central_share: shareHeld(model, brief, centralAdditions, seen),
      extra: objectiveOf(whole, doses) - objectiveOf(whole, central),
      share_at_most: possible / SCENARIOS,
    },
  };
}

/** One use of every required hop. */
function requiredUses({ required, usesOf }: BlendProblem): number[] {
  return required.map((v) => usesOf[v]![0]!);
}

/** Blends to start from: the central one, ones cut to tighter wishes, the scenarios' own that hold widest. */
function* starts(
  whole: BlendProblem,
  central: Doses,
  scenarios: readonly Scenario[],
  chosen: readonly number[],
  { scenarios: cut, needed }: Moves,
  until: number,
): Generator<undefined, Doses[]> {
  const found: { doses: Doses; lacking: number }[] = [];
  const add = (doses: Doses) => {
    if (doses.uses.some((j) => !chosen.includes(j))) return;
    const own = within(doses, chosen);
    const lacking = missesIn(cut, own)
      .subarray(0, needed)
      .reduce((a, b) => a + b, 0);
    found.push({ doses: own, lacking });
  };
  const own = cutTo(whole, chosen);
  for (const inset of INSETS) {
    const search = new Search(
      { ...own, axes: own.axes.map((r) => insetRow(r, inset)) },
      'objective',
      0,
      0,
    );
    for (let i = 0; i < NODES_PER_INSET && performance.now() < until && search.step(); i += 1)
      yield;
    const doses = search.incumbent?.doses;
    if (doses) add({ uses: doses.uses.map((j) => chosen[j]!), doses: doses.doses });
  }
  for (const { doses } of scenarios) {
    if (doses) add(doses);
    yield;
  }
  found.sort((a, b) => a.lacking - b.lacking);
  return [within(central, chosen), ...found.slice(0, STARTS_MAX - 1).map((f) => f.doses)];
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
