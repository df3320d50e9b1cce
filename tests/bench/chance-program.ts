// The blend that holds in enough drawn lots, as one general mixed-integer program on the same draws, handed to a
// solver this project does not build on: a dose in whole steps and a yes or no for each column, one for each
// hop and form, one for each draw that may be missed. It begins from our blend and may leave its dry-hop load:
// what the load takes is linear near that load, exact at it; of each better blend it finds the judge says
// whether it holds. Bitterness in the draws is left to the judge too.
import type { Doses } from '#optimize/problem/doses.ts';
import {
  loadOf,
  meetsLimits,
  objectiveOf,
  overshoot,
  signalAt,
  TOLERANCE,
  writeSignal,
} from '#optimize/problem/evaluation.ts';
import { lossPerLoad, shareAtLoad } from '#engine/process/load-law.ts';
import { sumOver } from '#optimize/problem/doses.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import { windowsOf, type Window } from '#optimize/problem/windows.ts';
import { axesInDraw } from '#optimize/robust/draw-problems.ts';
import type { DrawnJudge } from '#optimize/robust/judging.ts';
import { OracleProgram, type Terms } from '../optimize/support/oracle-program.ts';

/** How far the load may be from that of our blend, as a share of it. */
const LOADS_AWAY = 0.3;
/** The solver stops this close to proof. */
const GAP = 1e-3;

/** What the solver came to by its time limit. */
export interface ByProgram {
  /** The lightest blend that holds, ours at most. */
  readonly best: Doses;
  /** No blend is below, as far as the solver proved, by the program as it was written. */
  readonly bound: number;
  /** Better solutions of the program that the judge refused. */
  readonly refused: number;
  readonly seconds: number;
}

/** @param ours a blend known to hold: the program begins from it. */
export function byGeneralProgram(
  problem: BlendProblem,
  judge: DrawnJudge,
  ours: Doses,
  seconds: number,
): ByProgram {
  const { columns, step, least, varieties } = problem;
  const load = loadOf(problem, ours);
  const weight = objectiveOf(problem, ours);
  const program = new OracleProgram();
  const start = new Map<number, number>();
  const own = [...columns.keys()].filter((j) => columns[j]!.stage !== null);
  const ourDose = new Map(ours.columns.map((j, k) => [j, ours.doses[k]!]));
  /** Of what is heavier than our blend nobody asks. */
  const mostOf = (j: number) => {
    const byWeight = problem.objective[j]! > 0 ? weight / problem.objective[j]! : Infinity;
    return Math.floor(Math.min(columns[j]!.most, byWeight) / step + 1e-9);
  };
  const counts = new Map<number, number>();
  const isIn = new Map<number, number>();
  const yesOrNo = (ourAnswer: boolean) => {
    const column = program.column(0, 0, 1, true);
    if (ourAnswer) start.set(column, 1);
    return column;
  };
  for (const j of own) {
    const most = mostOf(j);
    const count = program.column(problem.objective[j]! * step, 0, most, true);
    counts.set(j, count);
    start.set(count, Math.round((ourDose.get(j) ?? 0) / step));
    const used = yesOrNo(ourDose.has(j));
    isIn.set(j, used);
    const atLeast = Math.ceil(Math.max(least, step) / step - 1e-9);
    program.atMost([...one(count), ...one(used, -most)], 0);
    program.atLeast([...one(count), ...one(used, -atLeast)], 0);
  }
  const ourHops = new Set(ours.columns.map((j) => columns[j]!.variety));
  const hops = varieties.map((_, v) => yesOrNo(ourHops.has(v)));
  const formKey = (j: number) => `${columns[j]!.variety}|${columns[j]!.form}`;
  const ourForms = new Set(ours.columns.map(formKey));
  const forms = new Map<string, number>();
  for (const j of own) {
    const key = formKey(j);
    const of = forms.get(key) ?? yesOrNo(ourForms.has(key));
    forms.set(key, of);
    program.atMost([...one(isIn.get(j)!), ...one(hops[columns[j]!.variety]!, -1)], 0);
    program.atMost([...one(isIn.get(j)!), ...one(of, -1)], 0);
  }
  const ones = (of: readonly number[]) => of.flatMap((column) => one(column));
  if (problem.hopsAtMost < varieties.length) program.atMost(ones(hops), problem.hopsAtMost);
  if (problem.additionsAtMost < own.length) {
    program.atMost(ones([...isIn.values()]), problem.additionsAtMost);
  }
  varieties.forEach((_, v) => {
    const ofHop = [...forms].filter(([key]) => key.startsWith(`${v}|`)).map(([, f]) => f);
    if (ofHop.length > problem.formsPerHopAtMost)
      program.atMost(ones(ofHop), problem.formsPerHopAtMost);
  });
  for (const v of problem.required) program.atLeast(one(hops[v]!), 1);
  const termsOf = (coef: Float64Array): [number, number][] =>
    own.flatMap((j) => (coef[j] ? one(counts.get(j)!, coef[j]! * step) : []));
  const loads = [load * (1 - LOADS_AWAY), load * (1 + LOADS_AWAY)] as const;
  program.row(termsOf(problem.dry), ...loads);
  for (const { coef, most } of problem.limits) program.atMost(termsOf(coef), most);

  const windows = windowsOf(problem, 0);
  const coef = new Float64Array(columns.length);
  /** A window of a signal, to be kept unless `missed` is 1. */
  const write = (row: AxisRow, { low, high }: Window, missed: number | null) => {
    const lost = lostPerLoad(problem, row, ours, load);
    /** The signal where it is at an edge: its factors, and its constant. */
    const at = (edge: number) => {
      const slope = lost * Math.max(0, edge - row.base);
      const constant = writeSignal(problem, row, load, coef) + slope * load;
      for (const j of own) coef[j]! -= slope * problem.dry[j]!;
      return { constant, slope };
    };
    const unless = (by: number): Terms =>
      missed === null ? termsOf(coef) : [...termsOf(coef), ...one(missed, by)];
    if (low > -Infinity) {
      const { constant, slope } = at(low);
      program.atLeast(unless(low + slope * (loads[1] - load)), low - constant);
    }
    if (high === Infinity) return;
    const { constant } = at(high);
    const top = own.reduce((sum, j) => sum + Math.max(0, coef[j]!) * step * mostOf(j), constant);
    program.atMost(unless(-Math.max(0, top - high)), high - constant);
  };
  problem.axes.forEach((row, a) => write(row, windows[a]!, null));
  const { count } = judge.drawn;
  judge.judge(ours);
  const missed = Array.from(judge.misses, (miss) => yesOrNo(miss > TOLERANCE));
  program.atMost(ones(missed), count - judge.needed);
  for (let k = 0; k < count; k += 1) {
    axesInDraw(problem, judge.drawn, k).forEach((row, a) => write(row, windows[a]!, missed[k]!));
  }

  let [best, refused] = [ours, 0];
  const began = performance.now();
  const bound = program.improve(GAP, seconds, start, (values) => {
    const inside = own.filter((j) => Math.round(values[counts.get(j)!]!) > 0);
    const doses = inside.map((j) => Math.round(values[counts.get(j)!]!) * step);
    const blend = { columns: inside, doses };
    if (objectiveOf(problem, blend) >= objectiveOf(problem, best) * (1 - TOLERANCE)) return;
    if (holds(problem, judge, blend)) best = blend;
    else refused += 1;
  });
  return { best, bound, refused, seconds: (performance.now() - began) / 1000 };
}

function one(column: number, factor = 1): [number, number][] {
  return [[column, factor]];
}

function holds(problem: BlendProblem, judge: DrawnJudge, blend: Doses): boolean {
  return (
    meetsLimits(problem, blend) &&
    overshoot(problem, blend, 0) <= TOLERANCE &&
    judge.judge(blend).held >= judge.needed
  );
}

/** Share of a signal above its base that one more g/L of load takes of it, for what is in our blend; L/g. */
function lostPerLoad(problem: BlendProblem, row: AxisRow, ours: Doses, load: number): number {
  const all = signalAt(problem, row, ours, load) - row.base;
  if (all <= 0) return 0;
  const lost = row.damped.map((vector, g) => {
    const half = problem.halfLoads[g]!;
    const before = row.dampedBase[g]! + sumOver(vector, ours);
    return before * shareAtLoad(load, half) * lossPerLoad(load, half);
  });
  return lost.reduce((sum, part) => sum + part, 0) / all;
}
