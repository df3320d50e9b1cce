// A node of the problem and the boxes it leaves to its columns: between which doses each may be, given the
// loads of the node, the hops decided in and out, the doses decided, and what a blend may cost at most
// to be worth having.
import { FORMS, type FormId } from '#shared/ids.ts';
import { buyingIn, packageObjective, type Bought } from '#optimize/problem/packages.ts';
import { leastDose, leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
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
  /** No addition of a hop in this form. */
  | {
      readonly kind: 'form_out';
      readonly variety: number;
      readonly form: FormId;
      readonly before: Decision | null;
    }
  /** A column that is one of the additions. */
  | { readonly kind: 'added'; readonly column: number; readonly before: Decision | null }
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

/** The columns that can still be in a better blend of a node. */
export function columnsIn({ columns: all }: BlendProblem, { columns }: Node): Int32Array {
  return columns ?? Int32Array.from(all.keys());
}

function formNumber(variety: number, form: FormId): number {
  return variety * FORMS.length + FORMS.indexOf(form);
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
  /** Whether a column is decided to be one of the additions; of those in `dosed`. */
  private readonly isAdded: Uint8Array;
  /** Variety of each column, and whether it is what is left over of packages and no addition. */
  private readonly varietyOf: Int32Array;
  readonly isLeftOver: Uint8Array;
  /** Number of the hop and form of each column, and which of these are decided in and out. */
  private readonly formOf: Int32Array;
  private readonly formIn: Uint8Array;
  private readonly formOut: Uint8Array;
  /** Whether forms or additions are counted at all. */
  private readonly isCounted: boolean;
  /** Forms and additions of each hop decided in. */
  private readonly formsOf: Uint8Array;
  private readonly additionsOf: Int32Array;

  /** Lots of packages decided, by number; and between how many packages of each. */
  readonly packed: number[] = [];
  readonly packagesFrom: Float64Array;
  readonly packagesTo: Float64Array;

  /** Whether the columns of what is left over are open for packages that need not be opened: only cuts ask for it. */
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
  /** Of that, what a variety decided in takes in any case as none of its doses is decided. */
  private readonly taken: Float64Array;
  private readonly isDosed: Uint8Array;
  private readonly isOut: Uint8Array;

  constructor(problem: BlendProblem) {
    const n = problem.columns.length;
    this.problem = problem;
    this.most = new Float64Array(n);
    this.all = new Int32Array(n);
    this.formOf = new Int32Array(n);
    this.varietyOf = new Int32Array(n);
    this.isLeftOver = new Uint8Array(n);
    for (let j = 0; j < n; j += 1) {
      const { most, variety, form, stage } = problem.columns[j]!;
      this.most[j] = most;
      this.varietyOf[j] = variety;
      this.isLeftOver[j] = stage === null ? 1 : 0;
      this.all[j] = j;
      this.formOf[j] = formNumber(variety, form);
    }
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
    this.isAdded = new Uint8Array(n);
    this.isCounted = problem.formsPerHopAtMost < Infinity || problem.additionsAtMost < Infinity;
    this.formIn = new Uint8Array(problem.varieties.length * FORMS.length);
    this.formOut = new Uint8Array(problem.varieties.length * FORMS.length);
    this.formsOf = new Uint8Array(problem.varieties.length);
    this.additionsOf = new Int32Array(problem.varieties.length);
    this.taken = new Float64Array(problem.varieties.length);
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
    const { varietyOf, isLeftOver, taken } = this;
    const { dry, objective } = problem;
    isIn.fill(0);
    isOut.fill(0);
    for (const j of dosed) {
      [floor[j], ceiling[j]] = [0, Infinity];
      this.isAdded[j] = 0;
    }
    dosed.length = 0;
    this.formOut.fill(0);
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
      } else if (d.kind === 'form_out') this.formOut[formNumber(d.variety, d.form)] = 1;
      else if (d.kind === 'added') {
        dosed.push(d.column);
        floor[d.column] = Math.max(floor[d.column]!, leastDose(problem));
        this.isAdded[d.column] = 1;
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
    const { isCounted } = this;
    const additionsLeft = isCounted ? this.countDecided() : Infinity;
    if (additionsLeft < 0) return false;
    const left = worth - this.decidedObjective();
    const unopened = worth - this.openedObjective();
    if (left < 0 || unopened < 0) return false;
    const dose = leastDose(problem) * (1 - 1e-9);
    let count = 0;
    for (let k = 0; k < among.length; k += 1) {
      const j = among[k]!;
      const v = varietyOf[j]!;
      lower[j] = 0;
      upper[j] = 0;
      if (isOut[v] || (full && !isIn[v])) continue;
      if (isCounted && this.isClosed(j, v, additionsLeft)) continue;
      let box = most[j]!;
      if (dry[j] === 1 && box > interval.to) box = interval.to;
      if (left < Infinity) {
        const free = left + floor[j]! * objective[j]! + taken[v]!;
        if (objective[j]! * box > free) box = free / objective[j]!;
      }
      const b = boughtOf[j]!;
      if (b >= 0) {
        box = Math.min(box, this.packagesRoom(b, unopened, shut) * this.bought[b]!.package);
        // Else nothing is left over but of packages that must be opened.
        const used = isLeftOver[j] === 0;
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

  /**
   * Counts forms and additions decided. Additions that may come on top, one for each hop that is in
   * and has none taken off; -1 where there are too many of either.
   */
  private countDecided(): number {
    const { dosed, floor, isAdded, formOf, formIn, formsOf, additionsOf, inside } = this;
    const { formsPerHopAtMost, additionsAtMost } = this.problem;
    formIn.fill(0);
    formsOf.fill(0);
    additionsOf.fill(0);
    let left = additionsAtMost;
    for (let k = 0; k < dosed.length; k += 1) {
      const j = dosed[k]!;
      if ((floor[j] === 0 && !isAdded[j]) || dosed.indexOf(j) < k) continue;
      const v = this.varietyOf[j]!;
      additionsOf[v]! += 1;
      left -= 1;
      const form = formOf[j]!;
      if (formIn[form]) continue;
      formIn[form] = 1;
      formsOf[v]! += 1;
      if (formsOf[v]! > formsPerHopAtMost || this.formOut[form]) return -1;
    }
    for (const v of inside) if (additionsOf[v] === 0) left -= 1;
    return Math.max(-1, left);
  }

  /** Whether there can be nothing of a column: its form is out, or others take its place. */
  private isClosed(j: number, v: number, additionsLeft: number): boolean {
    const { formOf, formIn, formOut, formsOf, additionsOf, floor, isAdded, isIn } = this;
    const form = formOf[j]!;
    if (formOut[form]) return true;
    if (formsOf[v]! >= this.problem.formsPerHopAtMost && !formIn[form]) return true;
    if (additionsLeft > 0 || floor[j]! > 0 || isAdded[j]) return false;
    // What is left over of packages is no addition.
    if (this.isLeftOver[j]) return false;
    return !(isIn[v] && additionsOf[v] === 0);
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
    const { problem, dosed, floor, inside, isDosed, taken, leastObjectiveOf } = this;
    const { objective } = problem;
    let sum = 0;
    isDosed.fill(0);
    taken.fill(0);
    for (let k = 0; k < dosed.length; k += 1) {
      const j = dosed[k]!;
      if (floor[j] === 0 || dosed.indexOf(j) < k) continue;
      sum += floor[j]! * objective[j]!;
      isDosed[this.varietyOf[j]!] = 1;
    }
    for (const v of inside) {
      if (isDosed[v]) continue;
      taken[v] = leastObjectiveOf[v]!;
      sum += taken[v]!;
    }
    return sum;
  }
}
