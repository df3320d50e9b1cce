// A node of the problem and the boxes it leaves to its columns: between which doses each may be, given the
// loads of the node, the hops decided in and out, the doses decided, and what a blend may cost at most
// to be worth having.
import { buyingIn, packageObjective, type Bought } from '#optimize/problem/packages.ts';
import { leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import type { ColumnGroup } from './column-group.ts';
import type { CapChoice, LoadInterval } from './rows.ts';

/** A choice that narrows the problem, chained to the ones before it. */
export type Decision =
  | { readonly kind: 'in' | 'out'; readonly variety: number; readonly before: Decision | null }
  | {
      readonly kind: 'dose';
      readonly column: number;
      readonly lower: number;
      readonly upper: number;
      readonly before: Decision | null;
    }
  /** At least one column of a group is used. */
  | { readonly kind: 'some'; readonly group: ColumnGroup; readonly before: Decision | null }
  /** Packages opened of a lot that is bought, by its number. */
  | {
      readonly kind: 'packages';
      readonly bought: number;
      readonly lower: number;
      readonly upper: number;
      readonly before: Decision | null;
    }
  /** `shut`: no lot is opened but those decided to be; `opens`: at least one more is. */
  | { readonly kind: 'shut'; readonly before: Decision | null }
  | { readonly kind: 'opens'; readonly before: Decision | null };

/** A node of the problem: loads, decisions, sides of the capped bitter terms. */
export interface Node {
  readonly interval: LoadInterval;
  readonly decisions: Decision | null;
  readonly caps: readonly CapChoice[];
  /** Columns that can still be in a better blend of this node; all where absent. */
  readonly columns?: Int32Array;
}

/** The boxes of one node at a time; room for those of the next is kept. */
export class Boxes {
  /** All columns of the problem. */
  readonly all: Int32Array;
  /** Box of each column, g/L, valid for the first `openCount` of `open`. */
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly open: Int32Array;
  openCount = 0;
  /** Columns with decided doses, some more than once; and what is decided of them. */
  readonly dosed: number[] = [];
  readonly floor: Float64Array;
  /** Varieties decided in, or required. */
  inside: number[] = [];
  readonly isIn: Uint8Array;

  /** Groups of which at least one column is used. */
  readonly groups: ColumnGroup[] = [];
  /** Lots of packages decided, by number; and between how many packages of each. */
  readonly packed: number[] = [];
  readonly packagesFrom: Float64Array;
  readonly packagesTo: Float64Array;

  /** Whether something may be left over of packages that are opened in part: where rows ask for it. */
  leftOver = false;
  private readonly bought: readonly Bought[];
  private readonly boughtOf: Int32Array;
  /** Objective of one package of each. */
  private readonly opening: Float64Array;
  private readonly problem: BlendProblem;
  private readonly most: Float64Array;
  private readonly ceiling: Float64Array;
  /** Least objective of each variety where it is in. */
  private readonly leastObjectiveOf: Float64Array;
  private readonly isDosed: Uint8Array;
  private readonly isOut: Uint8Array;

  constructor(problem: BlendProblem) {
    const n = problem.columns.length;
    this.problem = problem;
    this.most = Float64Array.from(problem.columns, (c) => c.most);
    this.all = Int32Array.from(problem.columns, (_, j) => j);
    this.lower = new Float64Array(n);
    this.upper = new Float64Array(n);
    this.open = new Int32Array(n);
    this.floor = new Float64Array(n);
    this.ceiling = new Float64Array(n).fill(Infinity);
    this.leastObjectiveOf = Float64Array.from(problem.columnsOfVariety, (columns, v) => {
      const least = columns.reduce((a, j) => Math.min(a, problem.objective[j]!), Infinity);
      return least < Infinity ? least * leastOf(problem, v) : 0;
    });
    const { bought, of } = buyingIn(problem.columns);
    this.bought = bought;
    this.boughtOf = of;
    this.opening = Float64Array.from(bought, (b) => packageObjective(problem, b));
    this.packagesFrom = new Float64Array(bought.length);
    this.packagesTo = new Float64Array(bought.length).fill(Infinity);
    this.isDosed = new Uint8Array(problem.varieties.length);
    this.isIn = new Uint8Array(problem.varieties.length);
    this.isOut = new Uint8Array(problem.varieties.length);
  }

  /**
   * Boxes of the node's columns; false where its decisions clash or alone are worth nothing. What is
   * decided takes its share of `worth`: no column can be in whose least dose is more than what is left,
   * and none can have more than that.
   */
  set({ decisions, interval, columns: among = this.all }: Node, worth: number): boolean {
    const { problem, isIn, isOut, most, lower, upper, open, dosed, floor, ceiling } = this;
    const { dry, columns, objective } = problem;
    isIn.fill(0);
    isOut.fill(0);
    for (const j of dosed) [floor[j], ceiling[j]] = [0, Infinity];
    dosed.length = 0;
    const { packed, packagesFrom, packagesTo, boughtOf } = this;
    for (const b of packed) [packagesFrom[b], packagesTo[b]] = [0, Infinity];
    packed.length = 0;
    this.groups.length = 0;
    let shut = false;
    const inside = [...problem.required];
    for (const v of inside) isIn[v] = 1;
    for (let d = decisions; d; d = d.before) {
      if (d.kind === 'out') isOut[d.variety] = 1;
      else if (d.kind === 'dose') {
        dosed.push(d.column);
        floor[d.column] = Math.max(floor[d.column]!, d.lower);
        ceiling[d.column] = Math.min(ceiling[d.column]!, d.upper);
      } else if (d.kind === 'packages') {
        packed.push(d.bought);
        packagesFrom[d.bought] = Math.max(packagesFrom[d.bought]!, d.lower);
        packagesTo[d.bought] = Math.min(packagesTo[d.bought]!, d.upper);
      } else if (d.kind === 'some') this.groups.push(d.group);
      else if (d.kind === 'shut') shut = true;
      else if (d.kind === 'opens') continue;
      else if (!isIn[d.variety]) {
        isIn[d.variety] = 1;
        inside.push(d.variety);
      }
    }
    this.inside = inside;
    if (inside.length > problem.hopsAtMost || inside.some((v) => isOut[v])) return false;
    const full = inside.length === problem.hopsAtMost;
    const left = worth - this.decidedObjective();
    const unopened = worth - this.openedObjective();
    if (left < 0 || unopened < 0) return false;
    const dose = Math.max(problem.least, problem.step) * (1 - 1e-9);
    let count = 0;
    for (let k = 0; k < among.length; k += 1) {
      const j = among[k]!;
      const v = columns[j]!.variety;
      lower[j] = 0;
      upper[j] = 0;
      if (isOut[v] || (full && !isIn[v])) continue;
      let box = most[j]!;
      if (dry[j] === 1 && box > interval.to) box = interval.to;
      if (left < Infinity) {
        const free = left + floor[j]! * objective[j]! + this.leastFor(v);
        if (objective[j]! * box > free) box = free / objective[j]!;
      }
      const b = boughtOf[j]!;
      if (b >= 0) {
        box = Math.min(box, this.packagesRoom(b, unopened, shut) * this.bought[b]!.package);
        // Else nothing is left over but of packages that must be opened.
        const used = columns[j]!.stage !== null;
        if (!used && box > 0 && !this.leftOver) box = packagesFrom[b]! * this.bought[b]!.package;
        if (!used && box > 0) {
          upper[j] = box;
          open[count++] = j;
        }
        if (!used) continue;
      } else if (objective[j]! * box > unopened) box = unopened / objective[j]!;
      box = Math.min(box, ceiling[j]!);
      if (box < dose || box <= 0) continue;
      upper[j] = box;
      open[count++] = j;
    }
    this.openCount = count;
    for (const column of dosed) {
      if (floor[column] === 0) continue;
      lower[column] = floor[column]!;
      if (lower[column]! > upper[column]! * (1 + 1e-9) + 1e-12) return false;
      if (lower[column]! > upper[column]!) lower[column] = upper[column]!;
    }
    return true;
  }

  /** Objective of the packages decided at their least. */
  private openedObjective(): number {
    const { packed, packagesFrom, opening } = this;
    let sum = 0;
    for (let k = 0; k < packed.length; k += 1) {
      const b = packed[k]!;
      if (packagesFrom[b]! > 0 && packed.indexOf(b) === k) sum += packagesFrom[b]! * opening[b]!;
    }
    return sum;
  }

  /** Most packages of a lot that a blend worth having can have, `left` to spend on more of them. */
  private packagesRoom(b: number, left: number, shut: boolean): number {
    const from = this.packagesFrom[b]!;
    if (shut && from === 0) return 0;
    const opening = this.opening[b]!;
    const more = opening > 0 ? left / opening : Infinity;
    const most = more < Infinity ? from + Math.floor(more * (1 + 1e-9) + 1e-9) : Infinity;
    return Math.min(most, this.packagesTo[b]!);
  }

  /** Objective of the doses decided at their least, and of the hops decided in that have none. */
  private decidedObjective(): number {
    const { problem, dosed, floor, inside, isDosed } = this;
    const { objective, columns } = problem;
    let sum = 0;
    isDosed.fill(0);
    for (let k = 0; k < dosed.length; k += 1) {
      const j = dosed[k]!;
      if (floor[j] === 0 || dosed.indexOf(j) < k) continue;
      sum += floor[j]! * objective[j]!;
      isDosed[columns[j]!.variety] = 1;
    }
    for (const v of inside) sum += this.leastFor(v);
    return sum;
  }

  /** Objective that a hop decided in takes in any case where none of its doses is decided. */
  private leastFor(v: number): number {
    return this.isIn[v] && !this.isDosed[v] ? this.leastObjectiveOf[v]! : 0;
  }
}
