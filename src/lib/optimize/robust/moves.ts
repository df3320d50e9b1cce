// Betters a blend by moves: a dose more or less, one against another, one column in place of another, until
// it holds in enough drawn lots, and then until nothing makes it lighter. Judged by exact counts. Finds
// good blends, proves nothing.
import type { GramsPerLitre } from '#shared/units.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { meetsLimits, objectiveOf, overshoot, TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { DrawnJudge } from './judging.ts';

/** Finest move where doses come in no steps, as a share of all doses. */
const FINE_SHARE = 1 / 128;
/** Widths of moves, in grains, from wide to narrow. */
const WIDTHS = [16, 8, 4, 2, 1];
/** Blends judged between two rests. */
const AT_ONCE = 40;

/** What makes one blend better than another: holding in enough lots, then the objective. */
export interface Score {
  /** Sum of the misses that keep it from holding in enough draws; 0 where it does. */
  readonly lacking: number;
  readonly objective: number;
}

export interface Scored {
  readonly doses: Doses;
  readonly score: Score;
  readonly held: number;
}

export function isBetter(a: Score, b: Score): boolean {
  if (a.lacking !== b.lacking) return a.lacking < b.lacking;
  return a.objective < b.objective - 1e-9;
}

export class Moves {
  /** Best blend so far that holds in enough draws. */
  best: Scored | null = null;
  /** Best blend so far by draws held, whatever it costs. */
  widest: Scored | null = null;
  /** Whether any blend held in enough of the draws it is chosen by, confirmed or not. */
  holds = false;
  private looked = 0;

  /** @param confirming other draws in which a blend has to hold too before it is taken. */
  constructor(
    private readonly problem: BlendProblem,
    private readonly judge: DrawnJudge,
    private readonly confirming: DrawnJudge | null = null,
  ) {}

  /** Work put into judging, as an `Effort` counts it. */
  get effort(): number {
    return this.judge.effort + (this.confirming?.effort ?? 0);
  }

  /** `null` for a blend that breaks a limit or a wish in the middle lot, or cannot be better than `toBeat`. */
  score(doses: Doses, toBeat: Score | null): Scored | null {
    const { problem, judge } = this;
    const objective = objectiveOf(problem, doses);
    if (toBeat?.lacking === 0 && objective >= toBeat.objective - 1e-9) return null;
    if (!meetsLimits(problem, doses) || overshoot(problem, doses, 0) > TOLERANCE) return null;
    if (toBeat?.lacking === 0 && !(judge.holds(doses) && this.confirms(doses))) return null;
    const { held, lacking: lacked } = judge.judge(doses);
    if (lacked === 0) this.holds = true;
    const lacking = lacked === 0 ? this.lackingElsewhere(doses) : lacked;
    const scored = { doses, score: { lacking, objective }, held };
    if (lacking === 0 && (!this.best || isBetter(scored.score, this.best.score)))
      this.best = scored;
    const wide = this.widest;
    if (!wide || held > wide.held || (held === wide.held && isBetter(scored.score, wide.score))) {
      this.widest = scored;
    }
    return scored;
  }

  private confirms(doses: Doses): boolean {
    return this.confirming?.holds(doses) ?? true;
  }

  /** What a blend lacks in the draws that confirm it, as a sum over as many as it is chosen by. */
  private lackingElsewhere(doses: Doses): number {
    const { confirming, judge } = this;
    if (!confirming || confirming.holds(doses)) return 0;
    return (confirming.judge(doses).lacking * judge.drawn.count) / confirming.drawn.count;
  }

  /** The best that single moves and pairs of them lead to. */
  *descend(start: Scored): Resting<Scored> {
    let at = start;
    for (let w = 0; w < WIDTHS.length;) {
      const next = yield* this.better(at, WIDTHS[w]!);
      if (next) at = next;
      else w += 1;
    }
    return at;
  }

  private *better(at: Scored, width: number): Resting<Scored | null> {
    let found: Scored | null = null;
    for (const doses of this.neighbours(at.doses, width)) {
      this.looked += 1;
      if (this.looked >= AT_ONCE) {
        this.looked = 0;
        yield;
      }
      const scored = this.score(doses, (found ?? at).score);
      if (scored && isBetter(scored.score, (found ?? at).score)) found = scored;
    }
    return found;
  }

  /** Blends one move away. */
  private *neighbours({ columns, doses }: Doses, width: number): Generator<Doses> {
    const { problem } = this;
    const total = doses.reduce((a, b) => a + b, 0);
    const grain = problem.step > 0 ? problem.step : Math.max(1e-3, FINE_SHARE * total);
    const least = Math.max(problem.least, grain);
    const by = width * grain;
    const moved = (dose: GramsPerLitre, change: GramsPerLitre): GramsPerLitre => {
      const to = dose + change;
      if (change > 0) return Math.max(to, least);
      return to < least * (1 - 1e-9) ? 0 : to;
    };
    const changed = (changes: readonly (readonly [number, number])[]): Doses => {
      const to = new Map(columns.map((j, k) => [j, doses[k]!]));
      for (const [j, dose] of changes) {
        if (dose > 0) to.set(j, dose);
        else to.delete(j);
      }
      return { columns: [...to.keys()], doses: [...to.values()] };
    };
    for (let k = 0; k < columns.length; k += 1) {
      const [j, dose] = [columns[k]!, doses[k]!];
      const less = moved(dose, -by);
      yield changed([[j, less]]);
      yield changed([[j, moved(dose, by)]]);
      for (let l = 0; l < columns.length; l += 1) {
        if (l === k) continue;
        yield changed([
          [j, less],
          [columns[l]!, moved(doses[l]!, by)],
        ]);
        if (width > 1)
          yield changed([
            [j, less],
            [columns[l]!, moved(doses[l]!, by - grain)],
          ]);
        if (width > 2)
          yield changed([
            [j, less],
            [columns[l]!, moved(doses[l]!, by / 2)],
          ]);
      }
    }
    if (width !== 4) return;
    for (const other of this.others(columns)) {
      yield changed([[other, least]]);
      for (let k = 0; k < columns.length; k += 1) {
        const [j, dose] = [columns[k]!, doses[k]!];
        yield changed([
          [j, 0],
          [other, dose],
        ]);
        yield changed([
          [j, moved(dose, -least)],
          [other, least],
        ]);
        if (dose > 3 * least)
          yield changed([
            [j, dose - half(dose, grain)],
            [other, half(dose, grain)],
          ]);
      }
    }
  }

  /** Columns that could come in. */
  private others(inside: readonly number[]): number[] {
    const { columns } = this.problem;
    const taken = new Set(inside);
    return [...columns.keys()].filter((j) => !taken.has(j) && columns[j]!.stage !== null);
  }
}

function half(dose: GramsPerLitre, grain: GramsPerLitre): GramsPerLitre {
  return Math.max(1, Math.round(dose / grain / 2)) * grain;
}
