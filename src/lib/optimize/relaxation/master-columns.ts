// The columns of the linear program a search keeps: those that have been worth something, each the use of a
// lot at a stage, in the boxes of the part at hand. All uses of the part are priced after each solve.
import type { Effort } from '#optimize/pacing/clock.ts';
import { comingIn, leastOverBoxes } from '#optimize/lp/column-generation.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { Boxes } from './part.ts';
import type { CoverRow } from './package-cuts.ts';
import { Pricing } from './pricing.ts';
import type { RowPool, ScaledRow } from './relaxation.ts';

/** Doses below this are zero, g/L. */
const ZERO_DOSE = 1e-9;
/** Columns brought in at once, the most promising first. */
const COLUMNS_AT_ONCE = 24;

export class MasterColumns {
  /** The boxes of the part at hand. */
  readonly boxes: Boxes;
  simplex: Simplex;
  /** Use of each column, and column of each use or -1. */
  useOf = new Int32Array(64);
  readonly columnOf: Int32Array;
  private readonly problem: BlendProblem;
  private readonly pricing: Pricing;
  private readonly effort: Effort;
  /** Cost of each use, as the simplex counts. */
  private readonly cost: Float64Array;

  /** @param costScale objective units per unit of the simplex's cost. */
  constructor(problem: BlendProblem, pool: RowPool, costScale: number, effort: Effort) {
    this.problem = problem;
    this.effort = effort;
    this.boxes = new Boxes(problem);
    this.pricing = new Pricing(problem, pool);
    this.cost = problem.objective.map((c) => c / costScale);
    this.simplex = emptySimplex(effort);
    this.columnOf = new Int32Array(problem.uses.length).fill(-1);
  }

  /** Numbers gone through to price the uses of the part. */
  get pricingEffort(): number {
    return this.boxes.openCount * this.pricing.width;
  }

  /** Lets go of the columns of all uses but these. */
  focus(uses: Int32Array): void {
    const held = uses.filter((j) => this.columnOf[j]! >= 0);
    this.columnOf.fill(-1);
    this.simplex = emptySimplex(this.effort);
    for (const j of held) this.hold(j);
  }

  /** Brings a use into the simplex, its box still {0}. */
  private hold(j: number): void {
    const column = this.simplex.addColumn(this.cost[j]!);
    if (column >= this.useOf.length) {
      const longer = new Int32Array(2 * this.useOf.length);
      longer.set(this.useOf);
      this.useOf = longer;
    }
    this.useOf[column] = j;
    this.columnOf[j] = column;
  }

  /** Puts the boxes of the part in; holds what must be in it and the uses of a basis. */
  begin(basis: Int32Array | null): void {
    const { simplex, columnOf, boxes } = this;
    // What must be in is not left to be found: uses without a column are taken to be at 0.
    for (const j of boxes.dosed) if (boxes.floor[j]! > 0 && columnOf[j]! < 0) this.hold(j);
    for (const j of basis ?? []) if (columnOf[j]! < 0) this.hold(j);
    simplex.lower.fill(0, 0, simplex.columns);
    simplex.upper.fill(0, 0, simplex.columns);
    simplex.inPlayCount = 0;
    for (let k = 0; k < boxes.openCount; k += 1) {
      const j = boxes.open[k]!;
      if (columnOf[j]! >= 0) this.putInPlay(j);
    }
  }

  private putInPlay(j: number): void {
    const { simplex, boxes } = this;
    const column = this.columnOf[j]!;
    simplex.lower[column] = boxes.lower[j]!;
    simplex.upper[column] = boxes.upper[j]!;
    if (boxes.upper[j]! > 0) simplex.inPlay[simplex.inPlayCount++] = column;
  }

  /** Prices the uses of the part by weights of rows; `priced` then has their reduced costs. */
  price(by: 'cost' | 'rows alone', rows: readonly ScaledRow[], weights: Float64Array): void {
    const { open, openCount } = this.boxes;
    const cost = by === 'cost' ? this.cost : null;
    this.pricing.price(open, openCount, cost, rows, weights);
  }

  /** Right after pricing by cost: what all rows by their multipliers say together of the open uses. */
  weighedRows(): CoverRow {
    const { open, openCount } = this.boxes;
    const gain = new Float64Array(this.cost.length);
    for (let k = 0; k < openCount; k += 1) {
      const j = open[k]!;
      gain[j] = this.cost[j]! - this.pricing.reduced[j]!;
    }
    return { gain, need: this.simplex.rowsShare() };
  }

  private get priced() {
    const { open, openCount, lower, upper } = this.boxes;
    return { columns: open, count: openCount, reduced: this.pricing.reduced, lower, upper };
  }

  /** What the uses without a column, at most at their largest doses, could take off the bound. */
  missing(): number {
    const { columnOf } = this;
    const { open, openCount, upper } = this.boxes;
    const { reduced } = this.pricing;
    let sum = 0;
    for (let k = 0; k < openCount; k += 1) {
      const j = open[k]!;
      if (columnOf[j]! < 0 && reduced[j]! < 0) sum += reduced[j]! * upper[j]!;
    }
    return sum;
  }

  /** Brings in the uses that could take most off the bound. Returns whether there were any. */
  bringIn(): boolean {
    const found = comingIn(this.priced, (j) => this.columnOf[j]! >= 0, COLUMNS_AT_ONCE);
    for (const j of found) {
      this.hold(j);
      this.putInPlay(j);
    }
    return found.length > 0;
  }

  /** `from` and the least that the reduced costs come to over the boxes. */
  leastOver(from: number): number {
    return leastOverBoxes(this.priced, from);
  }

  /** The doses at the optimum, by use. */
  doses(): Doses {
    const { x, inPlay, inPlayCount } = this.simplex;
    const found: { j: number; dose: number }[] = [];
    for (let k = 0; k < inPlayCount; k += 1) {
      const column = inPlay[k]!;
      if (x[column]! > ZERO_DOSE) found.push({ j: this.useOf[column]!, dose: x[column]! });
    }
    found.sort((a, b) => a.j - b.j);
    return { uses: found.map((f) => f.j), doses: found.map((f) => f.dose) };
  }

  /**
   * The uses whose least dose takes no more than `room`, by the reduced costs just priced; `undefined`
   * where hardly any would go.
   */
  within(uses: Int32Array, room: number): Int32Array | undefined {
    const { lower, upper } = this.boxes;
    const { reduced } = this.pricing;
    const dose = Math.max(this.problem.least, this.problem.step);
    if (dose === 0 || !(room < Infinity)) return undefined;
    let kept = 0;
    const left = new Int32Array(uses.length);
    for (let k = 0; k < uses.length; k += 1) {
      const j = uses[k]!;
      // What is left over costs nothing of its own: it goes with the uses of its lot.
      if (this.problem.uses[j]!.stage === null) {
        left[kept++] = j;
        continue;
      }
      // Out by a decision: the part never needs it again.
      if (upper[j] === 0) continue;
      if (lower[j]! > 0 || reduced[j]! * dose <= room) left[kept++] = j;
    }
    return kept < uses.length * 0.9 ? left.slice(0, kept) : undefined;
  }
}

function emptySimplex(effort: Effort): Simplex {
  const none = new Float64Array(0);
  return new Simplex(none, none, none, undefined, effort);
}
