// How a node of the problem is split where its relaxed blend is not a real one: the sides of capped
// bitterness, the dry-hop load, doses that are nothing or enough, whole weighing
// steps; what is counted is in counting.ts. Every split covers the node: no blend is lost between the children.
import type { GramsPerLitre } from '#shared/units.ts';
import { chordShare } from '#optimize/relaxation/bitter-rows.ts';
import {
  buyingIn,
  packageObjective,
  packagesIn,
  wholePackages,
} from '#optimize/problem/packages.ts';
import { ColumnGroup } from '#optimize/relaxation/column-group.ts';
import { leastDose, leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import { columnsIn, type Node } from '#optimize/relaxation/node.ts';
import type { Relaxed } from '#optimize/relaxation/master-program.ts';
import { ibuAt } from '#optimize/problem/bitterness.ts';
import { loadOf } from '#optimize/problem/evaluation.ts';
import { bitterWindow } from '#optimize/problem/windows.ts';

/** Narrowest load interval worth splitting, as a fraction of load plus 1 g/L. */
const LOAD_NARROWEST = 1e-7;

/** A node to look at, with what is known of it. */
export interface Child {
  readonly node: Node;
  /** Its relaxation where it is at hand. */
  readonly relaxed: Relaxed | null;
  /** Proven bound from elsewhere, besides that of the parent. */
  readonly floor: number;
}

/** Hops decided in and out along a node's decisions. */
export function decidedIn(problem: BlendProblem, { decisions }: Node): Set<number> {
  const inside = new Set(problem.required);
  for (let d = decisions; d; d = d.before) if (d.kind === 'in') inside.add(d.variety);
  return inside;
}

export function bareNode({ interval, decisions, caps, columns }: Node): Node {
  return { interval, decisions, caps, ...(columns && { columns }) };
}

/** A node of which nothing is known yet. */
export function child(node: Node): Child {
  return { node, relaxed: null, floor: 0 };
}

/** Two halves of the node's loads; `null` where there is nothing left to split. */
export function byLoad(
  problem: BlendProblem,
  node: Node,
  relaxed: Relaxed,
  inTheMiddle: boolean,
): Child[] | null {
  const { from, to } = node.interval;
  if (to - from <= LOAD_NARROWEST * (1 + to)) return null;
  const load = loadOf(problem, relaxed.doses);
  // At the load of the relaxed blend, kept away from the ends; or in the middle by the scale of the damping.
  const half = Math.sqrt((1 + from) * (1 + to)) - 1;
  const inner = (to - from) * 0.1;
  const wide = 1 + to > 4 * (1 + from);
  let at = wide || inTheMiddle ? half : Math.min(Math.max(load, from + inner), to - inner);
  const { step } = problem;
  let next = at;
  if (step > 0) {
    // Loads are whole steps, so nothing lies between two of them.
    const [first, last] = [Math.round(from / step), Math.round(to / step)];
    if (first === last) return null;
    const whole = Math.min(Math.max(Math.floor(at / step), first), last - 1);
    at = whole * step;
    next = (whole + 1) * step;
  }
  return [
    child({ ...node, interval: { from, to: at } }),
    child({ ...node, interval: { from: next, to } }),
  ];
}

/** Columns of one hop at one stage in a relaxed blend: dose and column, the largest first. */
interface Together {
  readonly variety: number;
  readonly stage: string;
  readonly has: { readonly dose: number; readonly column: number }[];
}

function togetherIn({ columns }: BlendProblem, { doses }: Relaxed): Together[] {
  const parts = new Map<string, Together>();
  doses.columns.forEach((column, k) => {
    const { variety, stage } = columns[column]!;
    if (stage === null) return;
    const key = `${variety} ${stage}`;
    const part = parts.get(key) ?? { variety, stage, has: [] };
    parts.set(key, part);
    part.has.push({ dose: doses.doses[k]!, column });
  });
  for (const { has } of parts.values()) has.sort((a, b) => b.dose - a.dose);
  return [...parts.values()];
}

/**
 * Columns of a hop at a stage that together have less than the least dose of one: either none of them is used,
 * or at least one. Left out of the group are those that have enough, and the largest ones while the sum of the
 * rest is still too much.
 */
export function byGroups(problem: BlendProblem, node: Node, relaxed: Relaxed): Child[] | null {
  const least = leastDose(problem);
  if (least === 0) return null;
  const decided = new Set<number>();
  for (let d = node.decisions; d; d = d.before) {
    if (d.kind === 'dose' && d.lower > 0) decided.add(d.column);
  }
  let picked: ColumnGroup | null = null;
  let furthest = least * 1e-7;
  for (const { variety, stage, has } of togetherIn(problem, relaxed)) {
    const free = has.filter(
      ({ dose, column }) => dose < least * (1 - 1e-7) && !decided.has(column),
    );
    let sum = free.reduce((all, { dose }) => all + dose, 0);
    let first = 0;
    while (sum >= least * (1 - 1e-7)) sum -= free[first++]!.dose;
    const distance = Math.min(sum, least - sum);
    if (distance <= furthest) continue;
    const inside = new Set(free.slice(first).map((f) => f.column));
    const outside = has.flatMap(({ column }) => (inside.has(column) ? [] : [column]));
    picked = new ColumnGroup(problem, variety, stage, [...outside, ...decided]);
    furthest = distance;
  }
  if (!picked) return null;
  const group = picked;
  return [
    child({ ...node, columns: columnsIn(problem, node).filter((j) => !group.has(j)) }),
    child({ ...node, decisions: { kind: 'some', group, before: node.decisions } }),
  ];
}

/** A dose between nothing and the least: nothing, or at least the least. */
export function byLeast(problem: BlendProblem, node: Node, { doses }: Relaxed): Child[] | null {
  const { least, columns } = problem;
  if (least === 0) return null;
  let pick = -1;
  let furthest = 0;
  doses.doses.forEach((dose, k) => {
    if (columns[doses.columns[k]!]!.stage === null) return;
    const distance = Math.min(dose, least - dose);
    if (distance > Math.max(furthest, least * 1e-7)) [pick, furthest] = [k, distance];
  });
  if (pick < 0) return null;
  const column = doses.columns[pick]!;
  return byDose(node, column, 0, least, columns[column]!.most);
}

/** Part of a step that is rounding. */
const WHOLE = 1e-6;

/** A number of packages, or a dose, between two whole steps; packages first: they cost more. */
export function bySteps(problem: BlendProblem, node: Node, { doses }: Relaxed): Child[] | null {
  const { columns, step } = problem;
  let bought = -1;
  let furthest = 0;
  const packages = packagesIn(problem, doses);
  for (const [b, count] of packages) {
    if (wholePackages(count)) continue;
    const off = Math.abs(count - Math.round(count));
    if (off > furthest) [bought, furthest] = [b, off];
  }
  if (bought >= 0) {
    const whole = Math.floor(packages.get(bought)!);
    return [
      child(opening(node, bought, 0, whole)),
      child(opening(node, bought, whole + 1, Infinity)),
    ];
  }
  if (step === 0) return null;
  let pick = -1;
  furthest = WHOLE;
  doses.doses.forEach((dose, k) => {
    if (columns[doses.columns[k]!]!.stage === null) return;
    const off = Math.abs(dose / step - Math.round(dose / step));
    if (off > furthest) [pick, furthest] = [k, off];
  });
  if (pick < 0) return null;
  const column = doses.columns[pick]!;
  const whole = Math.floor(doses.doses[pick]! / step);
  return byDose(node, column, whole * step, (whole + 1) * step, columns[column]!.most);
}

function opening(node: Node, bought: number, lower: number, upper: number): Node {
  return { ...node, decisions: { kind: 'packages', bought, lower, upper, before: node.decisions } };
}

/**
 * Lots that are bought in packages: none but those decided is opened, or at least one more is, and then a given
 * one or not. A package more is paid for in full, however little of it the relaxed blend has: that is the `floor`
 * of those nodes.
 * @param worth objective from which on a blend is not worth having.
 */
export function byPackages(
  problem: BlendProblem,
  node: Node,
  relaxed: Relaxed,
  worth: number,
): Child[] | null {
  const { bought, of } = buyingIn(problem.columns);
  if (bought.length === 0) return null;
  const cost = (b: number) => packageObjective(problem, bought[b]!);
  const from = new Map<number, number>();
  const shut = new Set<number>();
  let mayOpen: boolean | null = null;
  for (let d = node.decisions; d; d = d.before) {
    if (d.kind === 'shut') return null;
    if (d.kind === 'opens') mayOpen ??= true;
    if (d.kind !== 'packages') continue;
    if (d.lower > 0) {
      mayOpen ??= false;
      from.set(d.bought, Math.max(from.get(d.bought) ?? 0, d.lower));
    } else if (d.upper === 0) shut.add(d.bought);
  }
  let opened = 0;
  for (const [b, packages] of from) opened += packages * cost(b);
  const open = new Set<number>();
  for (const j of node.columns ?? problem.columns.keys()) {
    const b = of[j]!;
    if (b >= 0 && !shut.has(b) && !from.has(b) && opened + cost(b) < worth) open.add(b);
  }
  let [cheapest, next] = [Infinity, Infinity];
  let pick = -1;
  for (const b of open) {
    if (cost(b) < cheapest) [cheapest, next, pick] = [cost(b), cheapest, b];
    else next = Math.min(next, cost(b));
  }
  if (cheapest === 0) return null;
  const before = node.decisions;
  if (!mayOpen) {
    const children = [child({ ...node, decisions: { kind: 'shut', before } })];
    if (open.size > 0) {
      const more = { ...node, decisions: { kind: 'opens', before } } as const;
      children.push({ node: more, relaxed, floor: opened + cheapest });
    }
    return children;
  }
  if (open.size === 0) return [];
  // The lot whose package the relaxed blend pays least of.
  let unpaid = 0;
  for (const [b, packages] of packagesIn(problem, relaxed.doses)) {
    const rest = cost(b) * (1 - packages);
    if (open.has(b) && rest > unpaid) [pick, unpaid] = [b, rest];
  }
  const without = cost(pick) === cheapest ? next : cheapest;
  return [
    { ...child(opening(node, pick, 1, Infinity)), floor: opened + cost(pick) },
    { ...child(opening(node, pick, 0, 0)), floor: opened + without },
  ];
}

function byDose(
  node: Node,
  column: number,
  low: GramsPerLitre,
  high: GramsPerLitre,
  most: GramsPerLitre,
): Child[] {
  const before = node.decisions;
  return [
    child({ ...node, decisions: { kind: 'dose', column, lower: 0, upper: low, before } }),
    child({ ...node, decisions: { kind: 'dose', column, lower: high, upper: most, before } }),
  ];
}

/**
 * The IBU maximum is broken, and undecided caps have at least half a share in it: decides for the
 * term with the largest share which side of its cap counts.
 * @param slack intensities by which the wishes are widened.
 */
export function byCaps(
  problem: BlendProblem,
  node: Node,
  { doses }: Pick<Relaxed, 'doses'>,
  slack: number,
): Child[] | null {
  const { bitter } = problem;
  if (!bitter || bitter.atMost === undefined || !node.caps.includes('open')) return null;
  const load = loadOf(problem, doses);
  const most = bitterWindow(bitter, slack).high;
  const over = ibuAt(problem, doses, load) - most;
  if (over <= most * 1e-9) return null;
  const shares = bitter.terms.map((term, i) =>
    node.caps[i] === 'open' ? chordShare(problem, term, doses, node.interval, load) : 0,
  );
  const pick = shares.indexOf(Math.max(...shares));
  if (shares[pick]! <= 0 || shares.reduce((a, b) => a + b, 0) < over / 2) return null;
  return (['linear', 'capped'] as const).map((choice) =>
    child({ ...node, caps: node.caps.map((c, i) => (i === pick ? choice : c)) }),
  );
}

/** Whether a hop decided in is missing from a relaxed blend. */
export function lacksDecided(problem: BlendProblem, node: Node, { doses }: Relaxed): boolean {
  for (const v of decidedIn(problem, node)) {
    let dose = 0;
    doses.columns.forEach((j, k) => {
      const { variety, stage } = problem.columns[j]!;
      if (variety === v && stage !== null) dose += doses.doses[k]!;
    });
    if (dose < leastOf(problem, v) * (1 - 1e-7)) return true;
  }
  return false;
}
