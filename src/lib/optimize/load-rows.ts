// The rows of a blend problem at one dry-hop load, where they are exact: the load, a window for every
// axis, bitterness with a side chosen for every cap, hard limits, required hops. Written out once, bounds
// set anew for each question; rows that never bound stay out. What a solve proved by weights of the rows
// alone is kept: with other bounds the same weights prove something again, without solving.
import { leastOf, type BlendProblem } from './problem.ts';
import type { Basis, LpRow } from './simplex.ts';
import { excess, ibuAt, ibuRoom, signalAt, signalWindow, TOLERANCE } from './truth.ts';
import type { Doses } from './truth.ts';

interface Row extends LpRow {
  readonly coef: Float64Array;
  lower: number;
  upper: number;
  /** Factor that makes the largest coefficient 1. */
  scale: number;
  /** What is there before any dose. */
  constant: number;
  /** Least and most the columns can make of it. */
  least: number;
  most: number;
  /** Load it is written for. */
  load: number;
}

/** Weights of rows, and what the columns at best make of them. */
interface Weights {
  readonly rows: readonly number[];
  readonly weights: Float64Array;
  readonly columns: number;
}

/** Weights kept of each kind. */
const KEPT = 4;
/** By how much weighted rows must miss each other to contradict. */
const CONTRADICTION = 1e-9;
/** Width to which the end of a contradiction is settled, in intensity. */
const SLACK_WIDTH = 1e-4;

export class RowsAtLoad {
  load: number;
  sides: number;
  /** Largest dose of each use at this load, g/L. */
  readonly upper: Float64Array;
  /** Rows in the program, by number; the basis goes by their places. */
  active: number[];
  basis: Basis | null = null;

  readonly #problem: BlendProblem;
  readonly #rows: (Row | undefined)[] = [];
  readonly #bounded: Row[] = [];
  /** Multipliers that bound the objective, rays that contradict; the newest first. */
  #bounds: Weights[] = [];
  #rays: Weights[] = [];
  /** First of the rows of bitterness, of limits, of required hops. */
  readonly #bitter: number;
  readonly #limits: number;
  readonly #required: number;

  /** @param sides bit i: the i-th bitter term counts with its cap, else as if it had none. */
  constructor(problem: BlendProblem, load: number, sides: number) {
    this.#problem = problem;
    this.load = load;
    this.sides = sides;
    this.upper = new Float64Array(problem.uses.length);
    this.#bitter = 1 + problem.axes.length;
    // At most with the chosen sides, at least with every choice of sides.
    const bitterRows = problem.bitter ? 1 + (1 << problem.bitter.terms.length) : 0;
    this.#limits = this.#bitter + bitterRows;
    this.#required = this.#limits + problem.limits.length;
    this.active = [0, ...problem.required.map((_, i) => this.#required + i)];
    if (problem.bitter?.atMost !== undefined) this.active.push(this.#bitter);
    this.moveTo(load);
  }

  /** Writes the rows for another load; what bound before is tried first. */
  moveTo(load: number): void {
    const { uses, dry } = this.#problem;
    this.load = load;
    this.#bounds = [];
    this.#rays = [];
    for (let j = 0; j < uses.length; j += 1) {
      this.upper[j] = dry[j] === 1 ? Math.min(uses[j]!.most, load) : uses[j]!.most;
    }
  }

  /** Takes over what is known at another load. */
  startFrom(other: RowsAtLoad): void {
    if (other.sides !== this.sides) this.#rows.length = 0;
    this.sides = other.sides;
    this.active = [...other.active];
    this.basis = other.basis;
  }

  /** Whether the chosen caps alone are more bitter than may be. */
  ruledOut(slack: number): boolean {
    const { bitter } = this.#problem;
    if (bitter?.atMost === undefined) return false;
    const { constant } = this.#row(this.#bitter);
    return constant > bitter.atMost + ibuRoom(bitter, slack);
  }

  /** The rows in the program with their bounds at a slack. */
  bounded(asked: BlendProblem, slack: number): readonly LpRow[] {
    this.#bounded.length = this.active.length;
    for (let i = 0; i < this.active.length; i += 1) {
      this.#bounded[i] = this.#boundedRow(asked, this.active[i]!, slack);
    }
    return this.#bounded;
  }

  #boundedRow(asked: BlendProblem, r: number, slack: number): Row {
    const row = this.#row(r);
    const { low, high } = this.#boundsOf(asked, r, slack);
    const { scale, constant, least, most } = row;
    // A bound out of the columns' reach stays out of it.
    row.lower = Math.min(Math.max((low - constant) * scale, least - 1), most + 1);
    row.upper = Math.max(Math.min((high - constant) * scale, most + 1), least - 1);
    return row;
  }

  /** Brings in the rows that doses break; returns whether there are any. */
  activateViolated(asked: BlendProblem, doses: Doses, slack: number): boolean {
    const before = this.active.length;
    const { load } = this;
    const add = (r: number) => {
      if (!this.active.includes(r)) this.active.push(r);
    };
    asked.axes.forEach((axis, a) => {
      if (axis.low === -Infinity && axis.high === Infinity) return;
      const { low, high } = signalWindow(asked, axis, slack);
      const signal = signalAt(asked, axis, doses, load);
      const room = TOLERANCE * Math.max(1e-3, signal);
      if (signal < low - room || signal > high + room) add(1 + a);
    });
    const { bitter } = asked;
    if (bitter?.atLeast !== undefined) {
      const least = bitter.atLeast - ibuRoom(bitter, slack);
      if (ibuAt(asked, doses, load) < least - TOLERANCE * Math.max(1, least)) {
        add(this.#bitter + 1 + this.#sidesOf(doses));
      }
    }
    asked.limits.forEach((limit, l) => {
      if (excess(limit, doses) > TOLERANCE) add(this.#limits + l);
    });
    return this.active.length > before;
  }

  /** Keeps what a solve proved: its bound on the cost, and the multipliers it follows from. */
  keepBound(bound: number, multipliers: Float64Array): void {
    const weights = multipliers.slice(0, this.active.length);
    let columns = bound;
    this.#bounded.forEach(({ lower, upper }, i) => {
      columns -= Math.min(weights[i]! * lower, weights[i]! * upper);
    });
    this.#bounds = [{ rows: [...this.active], weights, columns }, ...this.#bounds].slice(0, KEPT);
  }

  /** Whether kept multipliers already bound the cost above `most`. */
  beyond(asked: BlendProblem, slack: number, most: number): boolean {
    return this.#bounds.some(({ rows, weights, columns }) => {
      let bound = columns;
      rows.forEach((r, i) => {
        const w = weights[i]!;
        if (w === 0) return;
        const { lower, upper } = this.#boundedRow(asked, r, slack);
        bound += Math.min(w * lower, w * upper);
      });
      return bound > most;
    });
  }

  /** Keeps weights under which the rows contradict the boxes. */
  keepRay(ray: Float64Array): void {
    const weights = ray.slice(0, this.active.length);
    const entry = new Float64Array(this.upper.length);
    this.active.forEach((r, i) => {
      const w = weights[i]!;
      if (w === 0) return;
      const { coef } = this.#row(r);
      for (let j = 0; j < entry.length; j += 1) entry[j]! += w * coef[j]!;
    });
    let columns = 0;
    for (let j = 0; j < entry.length; j += 1) columns += Math.max(0, entry[j]! * this.upper[j]!);
    this.#rays = [{ rows: [...this.active], weights, columns }, ...this.#rays].slice(0, KEPT);
  }

  /** Whether kept rays show that no doses will do at a slack. */
  contradicted(asked: BlendProblem, slack: number): boolean {
    return this.#rays.some((ray) => this.#reach(ray, asked, slack) < -CONTRADICTION);
  }

  /**
   * The slack at which the last kept contradictions have all ended; `null` where one stands up to
   * `most`.
   */
  endOfContradictions(asked: BlendProblem, from: number, most: number): number | null {
    let slack = from;
    for (const ray of this.#rays) {
      const at = (s: number) => this.#reach(ray, asked, s) + CONTRADICTION;
      let low = slack;
      let atLow = at(low);
      if (atLow >= 0) continue;
      let high = most;
      let atHigh = at(high);
      if (atHigh < 0) return null;
      for (let round = 0; high - low > SLACK_WIDTH; round += 1) {
        // Regula falsi, kept away from the ends; halving every third time.
        const share =
          round % 3 === 2 ? 0.5 : Math.min(0.99, Math.max(0.01, atLow / (atLow - atHigh)));
        const middle = low + (high - low) * share;
        const value = at(middle);
        if (value < 0) [low, atLow] = [middle, value];
        else [high, atHigh] = [middle, value];
      }
      slack = high;
    }
    return slack;
  }

  #reach({ rows, weights, columns }: Weights, asked: BlendProblem, slack: number): number {
    let most = columns;
    rows.forEach((r, i) => {
      const w = weights[i]!;
      if (w === 0) return;
      const { lower, upper } = this.#boundedRow(asked, r, slack);
      most -= Math.min(w * lower, w * upper);
    });
    return most;
  }

  /** Where the sides are taken that make the doses least bitter. */
  #sidesOf({ uses, doses }: Doses): number {
    return this.#problem.bitter!.terms.reduce((mask, { alpha, cap }, i) => {
      let held = 0;
      uses.forEach((j, k) => (held += alpha[j]! * doses[k]!));
      return held > cap ? mask | (1 << i) : mask;
    }, 0);
  }

  #boundsOf(asked: BlendProblem, r: number, slack: number): { low: number; high: number } {
    if (r === 0) return { low: this.load, high: this.load };
    if (r < this.#bitter) return signalWindow(asked, asked.axes[r - 1]!, slack);
    if (r < this.#limits) {
      const { atMost, atLeast } = asked.bitter!;
      const widened = ibuRoom(asked.bitter!, slack);
      return r === this.#bitter
        ? { low: -Infinity, high: atMost! + widened }
        : { low: atLeast! - widened, high: Infinity };
    }
    if (r < this.#required) return { low: -Infinity, high: asked.limits[r - this.#limits]!.most };
    return { low: leastOf(asked, asked.required[r - this.#required]!), high: Infinity };
  }

  #row(r: number): Row {
    const known = this.#rows[r];
    if (known && (known.load === this.load || (r >= this.#limits && known.load >= 0))) return known;
    const n = this.#problem.uses.length;
    const row: Row = known ?? {
      coef: new Float64Array(n),
      lower: 0,
      upper: 0,
      scale: 1,
      constant: 0,
      least: 0,
      most: 0,
      load: -1,
    };
    this.#rows[r] = row;
    row.constant = this.#write(r, row.coef);
    row.load = this.load;
    this.#scale(row);
    return row;
  }

  #scale(row: Row): void {
    const { coef } = row;
    const { uses } = this.#problem;
    let largest = 0;
    for (let j = 0; j < coef.length; j += 1) largest = Math.max(largest, Math.abs(coef[j]!));
    row.scale = largest > 0 ? 1 / largest : 1;
    row.least = 0;
    row.most = 0;
    for (let j = 0; j < coef.length; j += 1) {
      coef[j]! *= row.scale;
      const reach = coef[j]! * uses[j]!.most;
      if (reach < 0) row.least += reach;
      else row.most += reach;
    }
  }

  /** Writes coefficients; returns the constant beside them. */
  #write(r: number, coef: Float64Array): number {
    const { axes, bitter, dry, limits, required, usesOf, halfLoads } = this.#problem;
    if (r === 0) {
      coef.set(dry);
      return 0;
    }
    if (r < this.#bitter) {
      const { direct, damped, base, dampedBase } = axes[r - 1]!;
      coef.set(direct);
      let constant = base;
      damped.forEach((vector, g) => {
        const factor = 1 / (1 + this.load / halfLoads[g]!);
        constant += factor * dampedBase[g]!;
        for (let j = 0; j < coef.length; j += 1) coef[j]! += factor * vector[j]!;
      });
      return constant;
    }
    if (r < this.#limits) {
      const capped = r === this.#bitter ? this.sides : r - this.#bitter - 1;
      coef.set(bitter!.plain);
      let constant = bitter!.base;
      bitter!.terms.forEach(({ alpha, base, cap, weight, adsorbed }, i) => {
        const factor = adsorbed ? weight * Math.exp(-bitter!.adsorption * this.load) : weight;
        constant += factor * base;
        if ((capped >> i) & 1) constant += factor * cap;
        else for (let j = 0; j < coef.length; j += 1) coef[j]! += factor * alpha[j]!;
      });
      return constant;
    }
    if (r < this.#required) {
      coef.set(limits[r - this.#limits]!.coef);
      return 0;
    }
    coef.fill(0);
    for (const j of usesOf[required[r - this.#required]!]!) coef[j] = 1;
    return 0;
  }
}
