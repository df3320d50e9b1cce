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
import {
  lotsIn,
  problemIn,
  problemOf,
  statedOf,
  type AxisRow,
  type BlendProblem,
} from './problem.ts';
import { missesIn, shareHeld, worldsOf } from './scenarios.ts';
import { Search } from './search.ts';
import { meetsLimits, objectiveOf, overshoot, TOLERANCE, type Doses } from './truth.ts';

export const SCENARIOS = 200;
export const FRESH_SCENARIOS = 500;
export const SCENARIO_SEED = 41;
export const FRESH_SEED = 43;

/** Parts of a search looked at per scenario for its bound, and for a blend that holds in it. */
const NODES_PER_SCENARIO = 12;
/** Uses among which blends are sought, those of the most scenarios first. */
const USES_MAX = 16;
/** Blends from which the moves start. */
const STARTS_MAX = 5;
/** Share of the time given to the bound. */
const BOUND_SHARE = 0.4;
/** Finest move where doses come in no steps, g/L. */
const FINE_G_PER_L = 0.01;
/** Shares by which the wishes are drawn in for blends to start from. */
const INSETS = [0.05, 0.1, 0.2, 0.35];
const NODES_PER_INSET = 200;

export interface Robust {
  readonly doses: Doses;
  readonly hold: Hold;
  /** Proven lower bound on the objective of any blend that holds in the share asked for. */
  readonly lower_bound: number;
}

/** What makes one blend better: holding in enough scenarios first, then the objective. */
interface Score {
  /** Sum of the misses in the k scenarios of least miss; 0 once the share is reached. */
  readonly lacking: number;
  readonly share: number;
  readonly objective: number;
}

function better(a: Score, b: Score): boolean {
  if (a.lacking !== b.lacking) return a.lacking < b.lacking;
  return a.objective < b.objective - 1e-9;
}

interface Found {
  readonly doses: Doses;
  readonly score: Score;
}

class Moves {
  readonly central: BlendProblem;
  readonly scenarios: readonly BlendProblem[];
  readonly needed: number;
  /** The blend that holds in most scenarios so far, whatever it costs. */
  widest: { doses: Doses; share: number } | null = null;

  constructor(central: BlendProblem, scenarios: readonly BlendProblem[], needed: number) {
    this.central = central;
    this.scenarios = scenarios;
    this.needed = needed;
  }

  private dosesOf(x: Float64Array): Doses {
    const uses = [...x.keys()].filter((j) => x[j]! > 1e-9);
    return { uses, doses: uses.map((j) => x[j]!) };
  }

  /** `null` for a blend that breaks a limit, or cannot be better than `toBeat`. */
  score(x: Float64Array, toBeat: Score | null): Score | null {
    const doses = this.dosesOf(x);
    if (!meetsLimits(this.central, doses)) return null;
    const objective = objectiveOf(this.central, doses);
    if (toBeat?.lacking === 0 && objective >= toBeat.objective - 1e-9) return null;
    const atCentral = overshoot(this.central, doses, 0);
    const misses = missesIn(this.scenarios, doses);
    const met = atCentral <= TOLERANCE;
    const held = misses.filter((m) => m <= TOLERANCE).length;
    const share = held / misses.length;
    if (met && share > (this.widest?.share ?? -1)) this.widest = { doses, share };
    if (met && held >= this.needed) return { lacking: 0, share, objective };
    let lacking = this.needed * atCentral;
    for (let i = 0; i < this.needed; i += 1) lacking += misses[i]!;
    return { lacking: Math.max(lacking, 1e-12), share, objective };
  }

  /** Steepest moves of one dose or of two against each other, from wide to narrow, until none helps. */
  *improve(start: Doses, stop: () => boolean): Generator<undefined, Found | null> {
    const { central } = this;
    const grain = central.step > 0 ? central.step : FINE_G_PER_L;
    const x = new Float64Array(central.uses.length);
    start.uses.forEach((j, k) => (x[j] = start.doses[k]!));
    const first = this.score(x, null);
    if (!first) return null;
    let best = first;
    const least = Math.max(central.least, grain);
    const shifted = (dose: number, by: number): number => {
      const to = dose + by;
      if (by > 0) return dose === 0 ? Math.max(to, least) : to;
      return to < least * (1 - 1e-9) ? 0 : to;
    };
    for (let width = 32; width >= 1; width = Math.floor(width / 2)) {
      for (let again = true; again;) {
        again = false;
        let choice: [number, number, number, number] | null = null;
        const before = best;
        for (let j = 0; j < x.length; j += 1) {
          yield;
          if (stop()) return { doses: this.dosesOf(x), score: before };
          for (const sign of [1, -1]) {
            const was = x[j]!;
            if (sign < 0 && was === 0) continue;
            const to = shifted(was, sign * width * grain);
            x[j] = to;
            const single = this.score(x, best);
            if (single && better(single, best)) [best, choice] = [single, [j, to, -1, 0]];
            for (let k = 0; k < x.length; k += 1) {
              if (k === j || x[k] === 0) continue;
              const other = x[k]!;
              const against = shifted(other, -sign * width * grain);
              x[k] = against;
              const pair = this.score(x, best);
              if (pair && better(pair, best)) [best, choice] = [pair, [j, to, k, against]];
              x[k] = other;
            }
            x[j] = was;
          }
        }
        if (choice) {
          x[choice[0]] = choice[1];
          if (choice[2] >= 0) x[choice[2]] = choice[3];
          again = true;
        }
      }
    }
    return { doses: this.dosesOf(x), score: best };
  }
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
