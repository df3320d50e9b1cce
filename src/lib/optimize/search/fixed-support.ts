// The blend problem with a fixed support: every chosen lot stays in at its stage, doses are free.
// Small and continuous, so its optimum over all dry-hop loads is proven tightly: branch and bound on
// the load (and on the sides of capped bitterness) over the same rows as the search.
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import type { GramsPerLitre } from '#shared/units.ts';
import { finished, type Resting } from '#optimize/pacing/clock.ts';
import { coefOf, limitsOver } from '#optimize/problem/limits.ts';
import { leastOf, type BlendProblem, type LinearLimit } from '#optimize/problem/problem.ts';
import type { Decision, Node } from '#optimize/relaxation/node.ts';
import {
  MasterProgram,
  type StartBasis,
  type Relaxed,
} from '#optimize/relaxation/master-program.ts';
import {
  loadOf,
  meetsLimits,
  objectiveOf,
  overshoot,
  TOLERANCE,
} from '#optimize/problem/evaluation.ts';
import { ibuAt } from '#optimize/problem/bitterness.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { bareNode, child, type Child } from './branching.ts';
import type { OpenNode } from './heap.ts';
import { Tree } from './tree.ts';

/** Gap that counts as proven, as a fraction of the objective. */
export const FIXED_GAP = 1e-4;
/** The same where the doses at the optimum matter, not its figure: near it the objective hardly changes. */
export const FINE_GAP = 1e-6;
/** Nodes looked at before giving up; seen: tens to hundreds. */
const NODES_MAX = 20_000;

/** Whether a limit is the stock of one lot, or the most at one stage. */
function isDoseLimit({ of }: LinearLimit): boolean {
  return of.kind === 'stock' || of.kind === 'stage';
}

/** The problem of these columns alone, doses continuous. @param least g/L that each column keeps. */
export function fixedSupport(
  problem: BlendProblem,
  chosen: readonly number[],
  least: GramsPerLitre,
): BlendProblem {
  const slice = (vector: Float64Array) => Float64Array.from(chosen, (j) => vector[j]!);
  const old = [...new Set(chosen.map((j) => problem.columns[j]!.variety))];
  const columns = chosen.map((j) => {
    const column = problem.columns[j]!;
    // A row that says the largest dose is enough; said twice, neither would have a price.
    const said = problem.limits.some((l) => coefOf(l, j) === 1 && isDoseLimit(l));
    const most = said ? DOSE_G_PER_L_MAX : Math.max(column.most, least);
    return { ...column, variety: old.indexOf(column.variety), most };
  });
  const { bitter } = problem;
  const dry = slice(problem.dry);
  return {
    ...problem,
    columns,
    varieties: old.map((v) => problem.varieties[v]!),
    columnsOfVariety: old.map((_, v) => columns.flatMap((c, j) => (c.variety === v ? [j] : []))),
    objective: slice(problem.objective),
    dry,
    axes: problem.axes.map((row) => ({
      ...row,
      direct: slice(row.direct),
      damped: row.damped.map(slice),
    })),
    bitter: bitter && {
      ...bitter,
      plain: slice(bitter.plain),
      terms: bitter.terms.map((t) => ({ ...t, alpha: slice(t.alpha) })),
    },
    limits: limitsOver(problem.limits, chosen),
    loadMax: Math.min(
      problem.loadMax,
      columns.reduce((sum, c, j) => sum + dry[j]! * c.most, 0),
    ),
    hopsAtMost: old.length,
    formsPerHopAtMost: Infinity,
    additionsAtMost: Infinity,
    required: problem.required.map((v) => old.indexOf(v)).filter((v) => v >= 0),
    least,
    step: 0,
  };
}

export interface FixedOptimum {
  /** Dose of every column, g/L. */
  readonly x: Float64Array;
  readonly objective: number;
}

/** The best doses of a problem made by `fixedSupport`; `null` if no doses meet its wishes and limits. */
export function fixedOptimum(problem: BlendProblem): FixedOptimum | null {
  return finished(fixingOptimum(problem));
}

/** The same, a node at a time; to `gap`, or where that is too fine to be had in time to FIXED_GAP. */
export function* fixingOptimum(
  problem: BlendProblem,
  gap: typeof FIXED_GAP | typeof FINE_GAP = FIXED_GAP,
): Resting<FixedOptimum | null> {
  const program = new MasterProgram(problem, 0);
  let decisions: Decision | null = null;
  problem.columns.forEach(({ most }, column) => {
    decisions = { kind: 'dose', column, lower: problem.least, upper: most, before: decisions };
  });
  let best: { doses: Doses; objective: number } | null = null;
  const offer = (doses: Doses) => {
    if (!meetsLimits(problem, doses) || overshoot(problem, doses, 0) > TOLERANCE) return;
    const objective = objectiveOf(problem, doses);
    if (objective < (best?.objective ?? Infinity)) best = { doses, objective };
  };
  const cutoffAt = (share: number) =>
    best ? best.objective - share * Math.abs(best.objective) - 1e-12 : Infinity;
  let share = gap as number;
  const relax = function* (node: Node, basis: StartBasis | null): Resting<Relaxed> {
    program.effort.rested();
    const relaxed = yield* program.leastObjective(node, basis, cutoffAt(share));
    if (relaxed.status !== 'solved') return relaxed;
    const load = loadOf(problem, relaxed.doses);
    const at = { ...node, interval: { from: load, to: load } };
    const exact = yield* program.leastObjective(at, relaxed.basis, cutoffAt(share));
    if (exact.status === 'solved') offer(exact.doses);
    return relaxed;
  };
  const tree = new Tree({
    get cutoff() {
      return cutoffAt(share);
    },
    relax,
    raised: (bound) => bound,
  });
  const caps = (problem.bitter?.terms ?? []).map(() => 'open' as const);
  const whole: Node = { interval: { from: 0, to: problem.loadMax }, decisions, caps };
  tree.push(whole, yield* relax(whole, null), 0, 0);
  const branch = function* (open: OpenNode): Resting<void> {
    // Where so fine a gap takes too many nodes, a coarser one is taken.
    if (tree.nodes > NODES_MAX) share = FIXED_GAP;
    if (tree.nodes > 2 * NODES_MAX)
      throw new Error('the doses of a fixed support were not settled');
    if (open.bound < cutoffAt(share)) yield* tree.split(open, open.relaxed, split(problem, open));
  };
  yield* tree.explore(branch);
  const found = best as { doses: Doses; objective: number } | null;
  if (!found) return null;
  const x = new Float64Array(problem.columns.length);
  found.doses.columns.forEach((j, k) => (x[j] = found.doses.doses[k]!));
  return { x, objective: found.objective };
}

/** The undecided cap that a broken maximum of bitterness asks for, else the load, at the relaxed blend. */
function split(problem: BlendProblem, { relaxed, ...open }: OpenNode): Child[] {
  const { interval, caps } = open;
  const node = bareNode(open);
  const { from, to } = interval;
  const { bitter } = problem;
  const load = loadOf(problem, relaxed.doses);
  const undecided = caps.indexOf('open');
  if (bitter?.atMost !== undefined && undecided >= 0 && relaxed.status === 'solved') {
    if (ibuAt(problem, relaxed.doses, load) > bitter.atMost * (1 + 1e-9)) {
      return (['linear', 'capped'] as const).map((choice) =>
        child({ ...node, caps: caps.map((c, i) => (i === undecided ? choice : c)) }),
      );
    }
  }
  if (to - from <= 1e-10 * (1 + to)) return [];
  const inner = (to - from) * 0.1;
  const at = Math.min(Math.max(load, from + inner), to - inner);
  return [
    child({ ...node, interval: { from, to: at } }),
    child({ ...node, interval: { from: at, to } }),
  ];
}

/** Least dose of each variety that the columns do not already keep, g/L. */
export function leastNeeded(problem: BlendProblem, variety: number): GramsPerLitre {
  return problem.required.includes(variety) && problem.least === 0 ? leastOf(problem, variety) : 0;
}
