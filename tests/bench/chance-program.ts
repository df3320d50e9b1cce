// The blend that holds in enough drawn lots, as one general mixed-integer program on the same draws, handed to a
// solver this project does not build on: a dose in whole steps and a yes or no for each column, one for each
// hop and form, one for each draw that may be missed. At one dry-hop load, where signals are linear; bitterness
// in the draws is left to the judge.
import type { Doses } from '#optimize/problem/doses.ts';
import {
  loadOf,
  meetsLimits,
  objectiveOf,
  overshoot,
  TOLERANCE,
  writeSignal,
} from '#optimize/problem/evaluation.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import { windowsOf, type Window } from '#optimize/problem/windows.ts';
import { axesInDraw } from '#optimize/robust/draw-problems.ts';
import type { DrawnJudge } from '#optimize/robust/judging.ts';
import { OracleProgram, type Terms } from '../optimize/support/oracle-program.ts';

/** What the solver came to by its time limit. */
export interface ByProgram {
  /** Objective of the blend it found; `null` where it found none, or one that does not hold. */
  readonly objective: number | null;
  readonly seconds: number;
}

/** @param load of a blend known to hold: the program is told where to look. */
export function byGeneralProgram(
  problem: BlendProblem,
  judge: DrawnJudge,
  near: Doses,
  seconds: number,
): ByProgram {
  const { columns, step, least, varieties, formsPerHopAtMost, hopsAtMost } = problem;
  const load = loadOf(problem, near);
  const program = new OracleProgram();
  const own = [...columns.keys()].filter((j) => columns[j]!.stage !== null);
  const counts = new Map<number, number>();
  const isIn = new Map<number, number>();
  for (const j of own) {
    const most = Math.floor(columns[j]!.most / step + 1e-9);
    counts.set(j, program.column(problem.objective[j]! * step, 0, most, true));
    const used = program.column(0, 0, 1, true);
    isIn.set(j, used);
    program.atMost(
      [
        [counts.get(j)!, 1],
        [used, -most],
      ],
      0,
    );
    program.atLeast(
      [
        [counts.get(j)!, 1],
        [used, -Math.ceil(Math.max(least, step) / step - 1e-9)],
      ],
      0,
    );
  }
  const hops = varieties.map(() => program.column(0, 0, 1, true));
  const forms = new Map<string, number>();
  for (const j of own) {
    const { variety, form } = columns[j]!;
    program.atMost(
      [
        [isIn.get(j)!, 1],
        [hops[variety]!, -1],
      ],
      0,
    );
    const key = `${variety}|${form}`;
    const of = forms.get(key) ?? program.column(0, 0, 1, true);
    forms.set(key, of);
    program.atMost(
      [
        [isIn.get(j)!, 1],
        [of, -1],
      ],
      0,
    );
  }
  if (hopsAtMost < varieties.length)
    program.atMost(
      hops.map((h) => [h, 1]),
      hopsAtMost,
    );
  varieties.forEach((_, v) => {
    const ofHop = [...forms].filter(([key]) => key.startsWith(`${v}|`));
    if (ofHop.length > formsPerHopAtMost)
      program.atMost(
        ofHop.map(([, f]) => [f, 1]),
        formsPerHopAtMost,
      );
  });
  for (const v of problem.required) program.atLeast([[hops[v]!, 1]], 1);
  const termsOf = (coef: Float64Array): [number, number][] =>
    own.flatMap((j) => (coef[j] ? [[counts.get(j)!, coef[j]! * step] as [number, number]] : []));
  program.row(termsOf(problem.dry), load, load);
  for (const { coef, most } of problem.limits) program.atMost(termsOf(coef), most);
  const windows = windowsOf(problem, 0);
  const coef = new Float64Array(columns.length);
  const write = (row: AxisRow, { low, high }: Window, missed: number | null) => {
    const constant = writeSignal(problem, row, load, coef);
    const terms = termsOf(coef);
    const loosened = (by: number): Terms => (missed === null ? terms : [...terms, [missed, by]]);
    if (low > -Infinity) program.atLeast(loosened(low), low - constant);
    if (high === Infinity) return;
    const most =
      constant + own.reduce((sum, j) => sum + coef[j]! * Math.min(columns[j]!.most, 10), 0);
    program.atMost(loosened(-Math.max(0, most - high)), high - constant);
  };
  problem.axes.forEach((row, a) => write(row, windows[a]!, null));
  const { count } = judge.drawn;
  const missed = Array.from({ length: count }, () => program.column(0, 0, 1, true));
  program.atMost(
    missed.map((z) => [z, 1]),
    count - judge.needed,
  );
  for (let k = 0; k < count; k += 1) {
    axesInDraw(problem, judge.drawn, k).forEach((row, a) => write(row, windows[a]!, missed[k]!));
  }
  const began = performance.now();
  const solved = program.solve(1e-3, seconds, { atTimeLimit: 'best' });
  const taken = (performance.now() - began) / 1000;
  if (!solved) return { objective: null, seconds: taken };
  const inside = own.filter((j) => Math.round(solved.values[counts.get(j)!]!) > 0);
  const doses = {
    columns: inside,
    doses: inside.map((j) => Math.round(solved.values[counts.get(j)!]!) * step),
  };
  const holds =
    meetsLimits(problem, doses) &&
    overshoot(problem, doses, 0) <= TOLERANCE &&
    judge.judge(doses).held >= judge.needed;
  return { objective: holds ? objectiveOf(problem, doses) : null, seconds: taken };
}
