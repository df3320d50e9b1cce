// Draws divided into groups, each with hard draws and easy ones. A blend that misses at most m draws misses at
// most m groups; so of m + 1 groups or more it meets at least one in all of its draws. A blend that has to hold
// in several draws at once costs more than one that suits a single draw, so the bound is closer.
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { MasterProgram } from '#optimize/relaxation/master-program.ts';
import { axesInDraw, problemInDraws } from './draw-problems.ts';
import type { DrawnJudge } from './judging.ts';

/** Groups for each one that may be missed: the more, the fewer draws in each (see DECISIONS.md). */
const GROUPS_PER_MISS = 1.8;

export class DrawGroups {
  /** Draws of each group, the hardest first. */
  readonly groups: readonly (readonly number[])[];
  /** Groups a blend may miss. */
  readonly missable: number;
  private readonly programs: (MasterProgram | undefined)[] = [];
  private readonly bitterIn: readonly number[];

  /** @param doses blend by whose misses draws are hard or easy; judged anew. */
  constructor(
    private readonly problem: BlendProblem,
    private readonly judge: DrawnJudge,
    doses: Doses,
  ) {
    const { count } = judge.drawn;
    this.missable = count - judge.needed;
    const most = Math.ceil(GROUPS_PER_MISS * this.missable);
    const size = Math.min(count, Math.max(this.missable + 1, most));
    const bitter = judge.bitterMisses(doses);
    judge.judge(doses);
    const misses = judge.misses.slice();
    const ranked = Array.from(misses.keys()).sort((a, b) => misses[b]! - misses[a]! || a - b);
    const groups: number[][] = Array.from({ length: size }, () => []);
    ranked.forEach((draw, i) => {
      const [row, at] = [Math.floor(i / size), i % size];
      groups[row % 2 === 0 ? at : size - 1 - at]!.push(draw);
    });
    this.groups = groups;
    this.bitterIn = groups.map((draws) =>
      draws.reduce((worst, k) => (bitter[k]! > bitter[worst]! ? k : worst), draws[0]!),
    );
  }

  /** Groups of which a draw is among those missed. */
  hit(missed: Uint8Array): number {
    return this.groups.filter((draws) => draws.some((k) => missed[k])).length;
  }

  /** The program of a group; `null` where it is not yet made. */
  known(g: number): MasterProgram | null {
    return this.programs[g] ?? null;
  }

  /** Makes the program of a group; rests after each draw that is written down, and after the program. */
  *make(g: number): Resting<MasterProgram> {
    const { problem, judge, groups, bitterIn } = this;
    for (const draw of groups[g]!) {
      axesInDraw(problem, judge.drawn, draw);
      yield;
    }
    const drawn = problemInDraws(problem, judge.drawn, groups[g]!, bitterIn[g]!);
    const program = (this.programs[g] = new MasterProgram(drawn, 0));
    yield;
    return program;
  }
}

/** Draws missed by the blend judged last. */
export function missedDraws({ misses }: DrawnJudge): Uint8Array {
  return Uint8Array.from(misses, (miss) => (miss > TOLERANCE ? 1 : 0));
}
