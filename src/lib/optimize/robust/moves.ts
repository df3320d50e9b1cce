// Improves a blend by moves: a dose more or less, one against another, one column in place of another, until
// it holds in enough drawn lots, and then until nothing makes it lighter. Judged by exact counts. Finds
// good blends, proves nothing.
import type { Random } from '#engine/doubt/sampling.ts';
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
/** Share of random moves that change a dose of the blend, and the widest of them, in grains. */
const SHAKEN_INSIDE = 0.8;
const SHAKEN_GRAINS = 8;
/** Blends judged between two rests; drawing the lots of a column that comes in counts as so many. */
const AT_ONCE = 40;
const DRAWING_A_COLUMN = 10;

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
  /** What was done by the last rest. */
  private rested = 0;
  /** Where `wander` goes on from. */
  private wandered: Doses | null = null;
  /** Columns that are additions. */
  private readonly all: readonly number[];

  /** @param confirming other draws in which a blend has to hold too before it is taken. */
  constructor(
    private readonly problem: BlendProblem,
    private readonly judge: DrawnJudge,
    private readonly confirming: DrawnJudge | null = null,
  ) {
    const { columns } = problem;
    this.all = [...columns.keys()].filter((j) => columns[j]!.stage !== null);
  }

  /** Counts another look at a blend; says whether it is time to rest before it. */
  private looking(): boolean {
    this.looked += 1;
    const drawn = this.judge.drawn.made + (this.confirming?.drawn.made ?? 0);
    const done = this.looked + DRAWING_A_COLUMN * drawn;
    if (done - this.rested < AT_ONCE) return false;
    this.rested = done;
    return true;
  }

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

  /**
   * The best that single moves and pairs of them lead to.
   * @param among columns that may come in; all of them where none are named.
   */
  *descend(start: Scored, among: readonly number[] = this.all): Resting<Scored> {
    let at = start;
    for (let w = 0; w < WIDTHS.length;) {
      const next = yield* this.better(at, WIDTHS[w]!, among);
      if (next) at = next;
      else w += 1;
    }
    return at;
  }

  /**
   * Draws moves from the best blend and takes those that cost no more: single moves end where it takes two or
   * three at once, or a way through blends as light. @param looks blends looked at.
   */
  *wander(random: Random, looks: number): Resting<void> {
    const { problem, judge, best } = this;
    if (!best) return;
    const most = best.score.objective + 1e-9;
    let at =
      this.wandered && objectiveOf(problem, this.wandered) <= most ? this.wandered : best.doses;
    for (let i = 1; i <= looks; i += 1) {
      if (this.looking()) yield;
      const doses = this.shaken(at, random);
      const objective = objectiveOf(problem, doses);
      if (objective > this.best!.score.objective + 1e-9 || !meetsLimits(problem, doses)) continue;
      if (overshoot(problem, doses, 0) > TOLERANCE) continue;
      if (!judge.holds(doses) || !this.confirms(doses)) continue;
      at = doses;
      if (objective < this.best!.score.objective - 1e-9) this.score(doses, null);
    }
    this.wandered = at;
  }

  /** A blend one to three drawn moves away: most of them of a dose there is, some of a column that comes in. */
  private shaken({ columns, doses }: Doses, random: Random): Doses {
    const { step, least } = this.problem;
    const grain = this.grainOf(doses);
    const to = new Map(columns.map((j, k) => [j, doses[k]!]));
    const pick = (n: number) => Math.floor(random.uniform() * n);
    for (let moves = 1 + pick(3); moves > 0; moves -= 1) {
      const inside = [...to.keys()];
      const isIn = inside.length > 0 && random.uniform() < SHAKEN_INSIDE;
      const j = isIn ? inside[pick(inside.length)]! : this.all[pick(this.all.length)]!;
      const by = (random.uniform() < 0.5 ? -1 : 1) * (1 + pick(SHAKEN_GRAINS)) * grain;
      const dose = (to.get(j) ?? 0) + by;
      if (by > 0) to.set(j, Math.max(dose, least, step));
      else if (dose < Math.max(least, grain) * (1 - 1e-9)) to.delete(j);
      else to.set(j, dose);
    }
    return { columns: [...to.keys()], doses: [...to.values()] };
  }

  /** What a dose is moved by at least. */
  private grainOf(doses: readonly GramsPerLitre[]): GramsPerLitre {
    const total = doses.reduce((a, b) => a + b, 0);
    return this.problem.step > 0 ? this.problem.step : Math.max(1e-3, FINE_SHARE * total);
  }

  private *better(at: Scored, width: number, among: readonly number[]): Resting<Scored | null> {
    let found: Scored | null = null;
    for (const doses of this.neighbours(at.doses, width, among)) {
      if (this.looking()) yield;
      const scored = this.score(doses, (found ?? at).score);
      if (scored && isBetter(scored.score, (found ?? at).score)) found = scored;
    }
    return found;
  }

  /** Blends one move away. */
  private *neighbours(
    { columns, doses }: Doses,
    width: number,
    among: readonly number[],
  ): Generator<Doses> {
    const { problem } = this;
    const grain = this.grainOf(doses);
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
    const taken = new Set(columns);
    for (const other of among) {
      if (taken.has(other)) continue;
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
}

function half(dose: GramsPerLitre, grain: GramsPerLitre): GramsPerLitre {
  return Math.max(1, Math.round(dose / grain / 2)) * grain;
}
