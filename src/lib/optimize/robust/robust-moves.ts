// Betters a blend by moves of one dose or of two against each other until it holds in enough scenarios,
// then until it costs less. Finds good blends, proves nothing.
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { missesIn } from './scenarios.ts';
import { meetsLimits, objectiveOf, overshoot, TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** Finest move where doses come in no steps, g/L. */
const FINE_G_PER_L = 0.01;

/** What makes one blend better: keeping the wishes at the central figures, holding in more scenarios up
 * to those needed, and then the objective. */
interface Score {
  /** Sum of the misses in the k scenarios of least miss; 0 once the share is reached. */
  readonly lacking: number;
  /** Scenarios held, those beyond need not counted; -1 where the central wishes are missed. */
  readonly held: number;
  readonly share: number;
  readonly objective: number;
}

export function better(a: Score, b: Score): boolean {
  if (a.held !== b.held) return a.held > b.held;
  if (a.lacking !== b.lacking) return a.lacking < b.lacking;
  return a.objective < b.objective - 1e-9;
}

export interface ScoredDoses {
  readonly doses: Doses;
  readonly score: Score;
}

export class Moves {
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
    const columns = [...x.keys()].filter((j) => x[j]! > 1e-9);
    return { columns, doses: columns.map((j) => x[j]!) };
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
    if (met && held >= this.needed) return { lacking: 0, held: this.needed, share, objective };
    let lacking = this.needed * atCentral;
    for (let i = 0; i < this.needed; i += 1) lacking += misses[i]!;
    return { lacking: Math.max(lacking, 1e-12), held: met ? held : -1, share, objective };
  }

  /** Steepest moves of one dose or of two against each other, from wide to narrow, until none helps. */
  *improve(start: Doses, stop: () => boolean): Generator<undefined, ScoredDoses | null> {
    const { central } = this;
    const grain = central.step > 0 ? central.step : FINE_G_PER_L;
    const x = new Float64Array(central.columns.length);
    start.columns.forEach((j, k) => (x[j] = start.doses[k]!));
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
              yield;
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
