// The closest blend in full: first the least largest miss of a wish; then, holding the wishes that
// miss most where they are, the least of the rest, and so on; last the lightest found of all that
// are as close. Without the later rounds a blend would drift wherever its worst wish leaves room.
import { intensityOf } from '#engine/predict/smell.ts';
import { allowedBlend } from './allowed.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { patient } from './nearest.ts';
import { PROVEN_SLACK } from './proof.ts';
import { Search } from './search.ts';
import { run, type Run, type Clock, type Work } from '#optimize/pacing/clock.ts';
import { loadOf, signalAt, worstMiss } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** Misses below this need no further round, and later rounds no finer proof, in intensity. */
const SMALL = 0.02;
/** Room a wish is held with, in intensity, so that the rounding of sums does not close it. */
const ROOM = 1e-4;
/** How closely the least largest miss is known when proven, in intensity. */
export const PROVEN_MISS = PROVEN_SLACK + ROOM;

/** The problem with the wishes that miss most at these doses held there. */
function holdingWorst(problem: BlendProblem, doses: Doses, worst: number): BlendProblem {
  const load = loadOf(problem, doses);
  let held = 0;
  const axes = problem.axes.map((row) => {
    if (row.held) return row;
    const at = intensityOf(signalAt(problem, row, doses, load), problem.values);
    if (Math.max(row.low - at, at - row.high) < worst - PROVEN_SLACK) return row;
    held += 1;
    const room = worst + ROOM;
    return { ...row, low: row.low - room, high: row.high + room, held: true };
  });
  // Where the bitterness misses most, no axis is held: hold all.
  return held > 0 ? { ...problem, axes } : holdingAll(problem, worst + ROOM);
}

function holdingAll(problem: BlendProblem, room: number): BlendProblem {
  const axes = problem.axes.map((row) =>
    row.held ? row : { ...row, low: row.low - room, high: row.high + room, held: true },
  );
  return { ...problem, axes };
}

/** A search that ends as soon as its gap is small. */
function coarsely(search: Search): Work {
  return {
    get incumbent() {
      return search.incumbent;
    },
    step: () => {
      const { incumbent, bound } = search.state;
      return search.step() && (!incumbent || incumbent.merit - bound > SMALL);
    },
  };
}

export class Closest {
  /** Best blend; `null` when the hard limits allow none, or none was found in time. */
  doses: Doses | null = null;
  /** Its largest miss, and the proven bound on it. */
  merit = Infinity;
  bound: number;
  private readonly problem: BlendProblem;

  /** @param bound proven elsewhere. */
  constructor(problem: BlendProblem, bound: number) {
    this.problem = problem;
    this.bound = bound;
  }

  *searching<Progress>(clock: Clock, progress: () => Progress): Run<Progress, void> {
    let { problem } = this;
    const listening = { clock, until: clock.deadline, progress };
    const start = yield* allowedBlend(problem, listening);
    if (start === 'none' || start === 'unknown') return;
    let doses = start;
    for (let round = 0; ; round += 1) {
      const search = new Search(problem, 'slack', 0, worstMiss(problem, doses) + 1e-9);
      search.offer(doses);
      if (!clock.over || round === 0) {
        const work = round === 0 ? search : coarsely(search);
        yield* run(clock, work, clock.deadline, progress);
      }
      const { incumbent, bound } = search.state;
      doses = incumbent?.doses ?? doses;
      const worst = worstMiss(problem, doses);
      if (round === 0) [this.merit, this.bound] = [worst, Math.max(this.bound, bound)];
      if (worst <= SMALL || clock.over) {
        problem = holdingAll(problem, worst + ROOM);
        break;
      }
      problem = holdingWorst(problem, doses, worst);
      if (problem.axes.every((row) => row.held)) break;
    }
    const lightest = new Search(problem, 'objective', this.merit, 0);
    lightest.offer(doses);
    if (!clock.over) yield* run(clock, patient(lightest), clock.deadline, progress);
    this.doses = lightest.incumbent?.doses ?? doses;
    this.merit = worstMiss(this.problem, this.doses);
  }
}
