// Proofs kept from the linear programs solved at one dry-hop load: multipliers of the rows that bound the
// objective, and rays by which the rows contradict. Other wishes only change the bounds of the rows, so the same
// weights give a proof again; at another load too, once the columns are weighed there. So most loads are ruled
// out without solving.
import type { RowsAtLoad } from './load-rows.ts';
import { leastWeighed, type PricedColumns } from '#optimize/lp/column-generation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

/** Weights of rows, by number. */
export interface Weights {
  readonly rows: readonly number[];
  readonly weights: Float64Array;
}

/** Weights, and what the columns at best make of them. */
interface Weighed extends Weights {
  readonly columns: number;
}

/** Weights kept of each kind. */
const KEPT = 4;
/** Share of its terms that a sum may be off by rounding. */
const ROUNDING = 1e-15;
/** Width to which the end of a contradiction is settled, as a share. */
const SLACK_WIDTH = 1e-12;

export class ProofsAtLoad {
  readonly #rows: RowsAtLoad;
  readonly #priced: PricedColumns;
  /** Cost of each column, as the simplex counts. */
  readonly #cost: Float64Array;
  /** Multipliers that bound the cost, rays that contradict; those of use last first. */
  readonly #bounds: Weighed[] = [];
  readonly #rays: Weighed[] = [];

  /** @param priced room to price all columns in, the same for all loads. */
  constructor(rows: RowsAtLoad, cost: Float64Array, priced: PricedColumns) {
    this.#rows = rows;
    this.#priced = priced;
    this.#cost = cost;
  }

  /** Keeps multipliers of the rows in the program. @param columns least the columns come to. */
  keepBound(multipliers: Float64Array, columns: number): Weights {
    return this.#keep(this.#bounds, multipliers, columns);
  }

  /** Keeps weights under which those rows contradict. @param columns most the columns bring. */
  keepRay(ray: Float64Array, columns: number): Weights {
    return this.#keep(this.#rays, ray, columns);
  }

  #keep(kept: Weighed[], weights: Float64Array, columns: number): Weights {
    const { active } = this.#rows;
    const rows: number[] = [];
    const own: number[] = [];
    for (let i = 0; i < active.length; i += 1) {
      if (weights[i] === 0) continue;
      rows.push(active[i]!);
      own.push(weights[i]!);
    }
    const entry = { rows, weights: Float64Array.from(own), columns };
    keep(kept, entry);
    return entry;
  }

  /**
   * Whether multipliers already bound the cost above `most`.
   * @param elsewhere multipliers kept at another load, tried last.
   */
  beyond(asked: BlendProblem, slack: number, most: number, elsewhere?: Weights): boolean {
    const kept = this.#bounds;
    for (let k = 0; k < kept.length; k += 1) {
      if (this.#boundOf(kept[k]!, asked, slack) > most) return toFront(kept, k);
    }
    if (!elsewhere) return false;
    const weighed = this.#weighed(elsewhere, this.#cost);
    return this.#boundOf(weighed, asked, slack) > most && keep(kept, weighed);
  }

  /**
   * Whether rays show that no doses will do at a slack.
   * @param elsewhere a ray kept at another load, tried last.
   */
  contradicted(asked: BlendProblem, slack: number, elsewhere?: Weights): boolean {
    const kept = this.#rays;
    for (let k = 0; k < kept.length; k += 1) {
      if (this.#reach(kept[k]!, asked, slack) < 0) return toFront(kept, k);
    }
    if (!elsewhere) return false;
    const weighed = this.#weighed(elsewhere, null);
    return this.#reach(weighed, asked, slack) < 0 && keep(kept, weighed);
  }

  #weighed(elsewhere: Weights, cost: Float64Array | null): Weighed {
    const rows = elsewhere.rows.map((r) => this.#rows.row(r));
    const least = leastWeighed(
      { ...this.#priced, upper: this.#rows.upper },
      cost,
      rows,
      elsewhere.weights,
    );
    return { ...elsewhere, columns: cost ? least : -least };
  }

  /**
   * The slack at which the last kept contradictions have all ended; `null` where one stands up to
   * `most`.
   */
  endOfContradictions(asked: BlendProblem, from: number, most: number): number | null {
    let slack = from;
    for (const ray of this.#rays) {
      const at = (s: number) => this.#reach(ray, asked, s);
      let low = slack;
      let atLow = at(low);
      if (atLow >= 0) continue;
      let high = most;
      let atHigh = at(high);
      if (atHigh < 0) return null;
      // Regula falsi, an end that stays taken for half as far; halving where that gains too little.
      let halving = false;
      for (let side = 0; high - low > SLACK_WIDTH * (1 + high) && atHigh > 0;) {
        const width = high - low;
        let middle = halving ? high : low + (width * atLow) / (atLow - atHigh);
        if (!(middle > low && middle < high)) middle = low + width / 2;
        const value = at(middle);
        if (value < 0) {
          [low, atLow] = [middle, value];
          if (side < 0) atHigh /= 2;
          side = -1;
        } else {
          [high, atHigh] = [middle, value];
          if (side > 0) atLow /= 2;
          side = 1;
        }
        halving = high - low > width / 2;
      }
      slack = high;
    }
    return slack;
  }

  #boundOf({ rows, weights, columns }: Weighed, asked: BlendProblem, slack: number): number {
    let bound = columns;
    for (let i = 0; i < rows.length; i += 1) {
      const w = weights[i]!;
      const { lower, upper } = this.#rows.boundedRow(asked, rows[i]!, slack);
      bound += w > 0 ? w * lower : w * upper;
    }
    return bound;
  }

  /** Most that weighted rows can be at a slack, rounding allowed for; below 0 they contradict. */
  #reach({ rows, weights, columns }: Weighed, asked: BlendProblem, slack: number): number {
    let most = columns;
    let size = columns;
    for (let i = 0; i < rows.length; i += 1) {
      const w = weights[i]!;
      const { lower, upper } = this.#rows.boundedRow(asked, rows[i]!, slack);
      const least = w > 0 ? w * lower : w * upper;
      most -= least;
      size += Math.abs(least);
    }
    return most + ROUNDING * size;
  }
}

function keep(kept: Weighed[], entry: Weighed): true {
  kept.unshift(entry);
  if (kept.length > KEPT) kept.pop();
  return true;
}

function toFront(kept: Weighed[], k: number): true {
  if (k > 0) kept.unshift(...kept.splice(k, 1));
  return true;
}
