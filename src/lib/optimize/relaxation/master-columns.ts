// The columns of the linear program a search keeps: those that have been worth something, each a lot at a
// stage, with the bounds of the node at hand. All columns of the node are priced after each solve.
import type { Effort } from '#optimize/pacing/clock.ts';
import { comingIn, leastOverBoxes } from '#optimize/lp/column-generation.ts';
import { Simplex } from '#optimize/lp/simplex.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { leastDose, type BlendProblem } from '#optimize/problem/problem.ts';
import { Boxes } from './node.ts';
import type { CoverRow } from './package-cuts.ts';
import { Pricing } from './pricing.ts';
import type { RowPool, ScaledRow } from './relaxation.ts';

/** Doses below this are zero, g/L. */
const ZERO_DOSE = 1e-9;
/** Columns brought in at once, the most promising first. */
const COLUMNS_AT_ONCE = 24;

export class MasterColumns {
  /** The bounds of the node at hand. */
  readonly boxes: Boxes;
  simplex: Simplex;
  /** The column of the problem in each slot of the simplex, and the slot of each column or -1. */
  columnAt = new Int32Array(64);
  readonly slotOf: Int32Array;
  private readonly problem: BlendProblem;
  private readonly pricing: Pricing;
  private readonly effort: Effort;
  /** Cost of each column, as the simplex counts. */
  private readonly cost: Float64Array;

  /** @param costScale objective units per unit of the simplex's cost. */
  constructor(problem: BlendProblem, pool: RowPool, costScale: number, effort: Effort) {
    this.problem = problem;
    this.effort = effort;
    this.boxes = new Boxes(problem);
    this.pricing = new Pricing(problem, pool);
    this.cost = problem.objective.map((c) => c / costScale);
    this.simplex = emptySimplex(effort);
    this.slotOf = new Int32Array(problem.columns.length).fill(-1);
  }

  /** Numbers gone through to price the columns of the node. */
  get pricingEffort(): number {
    return this.boxes.openCount * this.pricing.width;
  }

  /** Drops all columns but these. */
  focus(columns: Int32Array): void {
    const held = columns.filter((j) => this.slotOf[j]! >= 0);
    this.slotOf.fill(-1);
    this.simplex = emptySimplex(this.effort);
    for (const j of held) this.hold(j);
  }

  /** Brings a column into the simplex, its box still {0}. */
  private hold(j: number): void {
    const slot = this.simplex.addColumn(this.cost[j]!);
    if (slot >= this.columnAt.length) {
      const longer = new Int32Array(2 * this.columnAt.length);
      longer.set(this.columnAt);
      this.columnAt = longer;
    }
    this.columnAt[slot] = j;
    this.slotOf[j] = slot;
  }

  /** Puts the boxes of the node in; holds what must be in it and the columns of a basis. */
  begin(basis: Int32Array | null): void {
    const { simplex, slotOf, boxes } = this;
    // Columns without a slot count as 0, so those that must have a dose are brought in at once.
    for (const j of boxes.dosed) if (boxes.floor[j]! > 0 && slotOf[j]! < 0) this.hold(j);
    for (const j of basis ?? []) if (slotOf[j]! < 0) this.hold(j);
    simplex.lower.fill(0, 0, simplex.columns);
    simplex.upper.fill(0, 0, simplex.columns);
    simplex.inPlayCount = 0;
    for (let k = 0; k < boxes.openCount; k += 1) {
      const j = boxes.open[k]!;
      if (slotOf[j]! >= 0) this.putInPlay(j);
    }
  }

  private putInPlay(j: number): void {
    const { simplex, boxes } = this;
    const slot = this.slotOf[j]!;
    simplex.lower[slot] = boxes.lower[j]!;
    simplex.upper[slot] = boxes.upper[j]!;
    if (boxes.upper[j]! > 0) simplex.inPlay[simplex.inPlayCount++] = slot;
  }

  /** Prices the columns of the node by weights of rows; `priced` then has their reduced costs. */
  price(by: 'cost' | 'rows alone', rows: readonly ScaledRow[], weights: Float64Array): void {
    const { open, openCount } = this.boxes;
    const cost = by === 'cost' ? this.cost : null;
    this.pricing.price(open, openCount, cost, rows, weights);
  }

  /** Right after pricing by cost: the sum of all rows by their multipliers, over the open columns. */
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

  /** What the columns without a slot, at most at their largest doses, could take off the bound. */
  missing(): number {
    const { slotOf } = this;
    const { open, openCount, upper } = this.boxes;
    const { reduced } = this.pricing;
    let sum = 0;
    for (let k = 0; k < openCount; k += 1) {
      const j = open[k]!;
      if (slotOf[j]! < 0 && reduced[j]! < 0) sum += reduced[j]! * upper[j]!;
    }
    return sum;
  }

  /** Brings in the columns that could take most off the bound. Returns whether there were any. */
  bringIn(): boolean {
    const found = comingIn(this.priced, (j) => this.slotOf[j]! >= 0, COLUMNS_AT_ONCE);
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

  /** The doses at the optimum, by column. */
  doses(): Doses {
    const { x, inPlay, inPlayCount } = this.simplex;
    const found: { j: number; dose: number }[] = [];
    for (let k = 0; k < inPlayCount; k += 1) {
      const slot = inPlay[k]!;
      if (x[slot]! > ZERO_DOSE) found.push({ j: this.columnAt[slot]!, dose: x[slot]! });
    }
    found.sort((a, b) => a.j - b.j);
    return { columns: found.map((f) => f.j), doses: found.map((f) => f.dose) };
  }

  /**
   * The columns whose least dose takes no more than `room`, by the reduced costs just priced; `undefined`
   * where hardly any would go.
   */
  within(columns: Int32Array, room: number): Int32Array | undefined {
    const { lower, upper, isLeftOver } = this.boxes;
    const { reduced } = this.pricing;
    const dose = leastDose(this.problem);
    if (dose === 0 || !(room < Infinity)) return undefined;
    let kept = 0;
    const left = new Int32Array(columns.length);
    for (let k = 0; k < columns.length; k += 1) {
      const j = columns[k]!;
      // The column of what is left over has no cost of its own: it stays with the columns of its lot.
      if (isLeftOver[j]) {
        left[kept++] = j;
        continue;
      }
      // Out by a decision: the node never needs it again.
      if (upper[j] === 0) continue;
      if (lower[j]! > 0 || reduced[j]! * dose <= room) left[kept++] = j;
    }
    return kept < columns.length * 0.9 ? left.slice(0, kept) : undefined;
  }
}

function emptySimplex(effort: Effort): Simplex {
  const none = new Float64Array(0);
  return new Simplex(none, none, none, undefined, effort);
}
