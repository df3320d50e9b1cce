// The rows of the linear program a search keeps: those that have bound, of all rows of the relaxation. All
// are looked at after each solve, and those that are broken come in. Contradictions between rows say at
// which slack of the wishes they end.
import type { LpRow } from '#optimize/lp/tableau.ts';
import { buyingIn } from '#optimize/problem/packages.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { MasterColumns } from './master-columns.ts';
import type { ColumnGroup } from './column-group.ts';
import type { CoverRow, Cut, WeighedRow } from './package-cuts.ts';
import type { Node } from './node.ts';
import type { RowPool, ScaledRow } from './relaxation.ts';
import { RowBook, type WrittenRow } from './row-book.ts';

const NONE: readonly number[] = [];
/** Rows brought in at once, the most violated first. */
const ROWS_AT_ONCE = 4;
const ROW_TOLERANCE = 1e-8;
/** Width to which the least slack is pinned down, in intensity. */
const SLACK_WIDTH = 1e-6;

export class MasterRows {
  /** Largest slack any row must still be valid for. */
  slackMost: number;
  /** Rows in the program, by number in the pool; as they are; as the simplex has them. */
  active: number[] = [];
  readonly written: WrittenRow[] = [];
  readonly rows: LpRow[] = [];
  private pool: RowPool;
  private readonly book: RowBook;
  private readonly master: MasterColumns;
  /** Packages of the lots that are bought, g/L. */
  private readonly packageSizes: readonly number[];
  private isActive: Uint8Array;
  /** Rows of groups of columns, by the key of the group; and whether a row is one. */
  private readonly rowOfGroup = new Map<string, number>();
  private readonly isOfGroup = new Set<number>();
  /** Of these, the rows that hold in the node at hand; empty between two nodes. */
  private readonly isSaid = new Set<number>();
  private readonly violated: { readonly r: number; readonly by: number }[] = [];

  constructor(problem: BlendProblem, pool: RowPool, master: MasterColumns, slackMost: number) {
    this.pool = pool;
    this.master = master;
    this.slackMost = slackMost;
    this.book = new RowBook(pool);
    this.packageSizes = buyingIn(problem.columns).bought.map((b) => b.package);
    this.isActive = new Uint8Array(pool.count);
  }

  /** Takes rows that hold for whole packages. */
  add(cuts: readonly Cut[]): void {
    this.goOnWith(this.pool.withCuts(cuts));
  }

  /** The row of a group of columns, by number. */
  private rowOf(group: ColumnGroup): number {
    const known = this.rowOfGroup.get(group.key);
    if (known !== undefined) return known;
    const r = this.pool.count;
    this.goOnWith(this.pool.withGroup(group));
    this.rowOfGroup.set(group.key, r);
    this.isOfGroup.add(r);
    return r;
  }

  private goOnWith(pool: RowPool): void {
    this.pool = pool;
    this.book.pool = pool;
    const { isActive } = this;
    this.isActive = new Uint8Array(this.pool.count);
    this.isActive.set(isActive);
  }

  /** After a solve: each row that has a multiplier, as it bounds the doses from below. */
  *bindingRows(): Generator<CoverRow> {
    const { multipliers } = this.master.simplex;
    for (let i = 0; i < this.written.length; i += 1) {
      const sign = Math.sign(multipliers[i]!);
      if (sign !== 0) yield this.weighed((k) => (k === i ? sign : 0));
    }
  }

  /** The sum of the rows of the program by their weights, less those that hold only by a decision of the node. */
  weighed(weightOf: (i: number) => number): WeighedRow {
    const { active, written, rows, master, pool } = this;
    const gain = new Float64Array(master.slotOf.length);
    let need = 0;
    let size = 0;
    for (let i = 0; i < written.length; i += 1) {
      const weight = weightOf(i);
      const r = active[i]!;
      if (weight === 0 || this.isOfGroup.has(r)) continue;
      if (r >= pool.firstPackage && r < pool.firstAdded) continue;
      const { form, scale, source } = written[i]!;
      const bound = weight * (weight > 0 ? rows[i]!.lower : rows[i]!.upper);
      need += bound;
      size += Math.abs(bound);
      for (const [j, a] of source.members ?? []) gain[j]! += weight * scale * a;
      form.vectors.forEach((vector, v) => {
        const factor = weight * scale * form.factors[v]!;
        if (factor === 0) return;
        for (let j = 0; j < gain.length; j += 1) gain[j]! += factor * vector[j]!;
      });
    }
    return { gain, need, size };
  }

  /** Forgets how rows are written, as the columns get other numbers. */
  forget(): void {
    this.book.clear();
  }

  /** Begins with the essential rows and those that bind at a basis. */
  begin(binding: Int32Array | null): void {
    for (const r of this.active) this.isActive[r] = 0;
    const { essential } = this.pool;
    this.active = [...essential];
    for (const r of essential) this.isActive[r] = 1;
    for (const r of binding ?? []) this.activate(r);
  }

  private activate(r: number): void {
    if (this.isActive[r]) return;
    this.active.push(r);
    this.isActive[r] = 1;
  }

  /** Writes the rows in the program for a node and a slack over the columns there are. */
  write(node: Node, slack: number): void {
    const { active, written, rows, book, master } = this;
    const { isIn, groups } = master.boxes;
    for (let g = 0; g < groups.length; g += 1) this.isSaid.add(this.rowOf(groups[g]!));
    const { pool } = this;
    written.length = active.length;
    rows.length = active.length;
    for (let i = 0; i < active.length; i += 1) {
      const r = active[i]!;
      const row = book.row(r, node.interval, node.caps, this.slackMost);
      const coef = book.write(row, master.columnAt, master.simplex.columns);
      const said =
        r < pool.firstVariety ||
        (r < pool.firstPackage
          ? isIn[r - pool.firstVariety]!
          : r < pool.firstAdded || !this.isOfGroup.has(r) || this.isSaid.has(r));
      const { lower, upper } = said
        ? pool.bounds(this.asDecided(row, r), slack)
        : { lower: row.least - 1, upper: row.most + 1 };
      written[i] = row;
      rows[i] = { coef, lower, upper };
    }
    if (groups.length > 0) this.isSaid.clear();
  }

  /** A row with the bounds that the node gives it. */
  private asDecided(row: ScaledRow, r: number): ScaledRow {
    const { pool, master } = this;
    const { packagesFrom, packagesTo } = master.boxes;
    if (r < pool.firstPackage || r >= pool.firstAdded) return row;
    const b = r - pool.firstPackage;
    const size = this.packageSizes[b]!;
    const lower = packagesFrom[b]! > 0 ? packagesFrom[b]! * size : -Infinity;
    return { ...row, form: { ...row.form, lower, upper: packagesTo[b]! * size } };
  }

  /** Brings in rows that doses break, the most broken first. Returns whether there were any. */
  activateViolated(node: Node, slack: number, doses: Doses): boolean {
    const { pool, violated } = this;
    const { inside, packed, groups } = this.master.boxes;
    violated.length = 0;
    this.book.look(doses);
    for (const r of pool.wide) this.lookAt(r, node, slack);
    if (pool.narrow.size > 0) {
      for (const j of doses.columns) {
        for (const l of pool.narrow.get(j) ?? NONE) {
          this.lookAt(pool.firstLimit + l, node, slack);
        }
      }
    }
    for (const v of inside) this.lookAt(pool.firstVariety + v, node, slack);
    for (const b of packed) this.lookAt(pool.firstPackage + b, node, slack);
    for (const group of groups) this.lookAt(this.rowOf(group), node, slack);
    if (violated.length > ROWS_AT_ONCE) violated.sort((a, b) => b.by - a.by);
    for (let i = 0; i < violated.length && i < ROWS_AT_ONCE; i += 1) this.activate(violated[i]!.r);
    return violated.length > 0;
  }

  /** Notes a row that the doses at hand break. */
  private lookAt(r: number, node: Node, slack: number): void {
    if (this.isActive[r]) return;
    const row = this.book.row(r, node.interval, node.caps, this.slackMost);
    const { moving } = row.source;
    let { lower, upper } = this.asDecided(row, r).form;
    if (moving?.side === 'lower') lower += moving.at(slack);
    else if (moving) upper += moving.at(slack);
    const by = this.book.violation(row, lower, upper);
    if (by > ROW_TOLERANCE) this.violated.push({ r, by });
  }

  /**
   * Most that the weighted rows of the contradiction can be at a slack; below 0 it stands.
   * @param share most that the columns can bring to it.
   */
  reachAt(slack: number, share: number): number {
    const { active, written, rows, pool } = this;
    const { ray } = this.master.simplex;
    let most = share;
    for (let i = 0; i < active.length; i += 1) {
      const w = ray[i]!;
      if (w === 0) continue;
      const bounds = written[i]!.source.moving ? pool.bounds(written[i]!, slack) : rows[i]!;
      most -= w > 0 ? w * bounds.lower : w * bounds.upper;
    }
    return most;
  }

  /**
   * The slack at which the contradiction just priced ends: `proven` below it, `slack` just above;
   * `null` if it stands up to the cutoff.
   */
  endOfContradiction(
    from: number,
    cutoff: number,
    share: number,
  ): { proven: number; slack: number } | null {
    const reach = (slack: number) => this.reachAt(slack, share);
    let low = from;
    let atLow = reach(low);
    let high = cutoff;
    let atHigh = reach(high);
    if (atHigh < 0) return null;
    for (let round = 0; round < 60 && high - low > SLACK_WIDTH; round += 1) {
      // Regula falsi, kept away from the ends; halving every third time.
      const at = round % 3 === 2 ? 0.5 : Math.min(0.99, Math.max(0.01, atLow / (atLow - atHigh)));
      const middle = low + (high - low) * at;
      const value = reach(middle);
      if (value < 0) [low, atLow] = [middle, value];
      else [high, atHigh] = [middle, value];
    }
    return { proven: low, slack: high };
  }
}
