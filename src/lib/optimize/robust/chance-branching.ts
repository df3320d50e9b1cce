// How the nodes of the search for a blend that holds in many draws are split: each group of draws has a relaxed
// blend of its own, and the node is split where these differ most, until they agree. Every split
// covers the node: no blend is lost between the parts.
import type { GramsPerLitre } from '#shared/units.ts';
import { loadOf } from '#optimize/problem/evaluation.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { leastDose, leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import { columnsIn, type Decision, type Node } from '#optimize/relaxation/node.ts';
import { child, decidedIn, type Child } from '#optimize/search/branching.ts';
import { byForms, decidedAdditions, undecidedAdditions } from '#optimize/search/counting.ts';

/** Doses closer than this are the same, g/L. */
const SAME_DOSE = 1e-7;
/** How much a dose and a load that differ count beside a hop that comes in, by g/L. */
const DOSE_WEIGHT = 2;
const LOAD_WEIGHT = 1;

/** Whether doses keep all that a node decides. */
export function isIn(problem: BlendProblem, node: Node, doses: Doses): boolean {
  const load = loadOf(problem, doses);
  const { from, to } = node.interval;
  if (load < from - SAME_DOSE || load > to + SAME_DOSE) return false;
  const doseOf = (j: number) => {
    const at = doses.columns.indexOf(j);
    return at < 0 ? 0 : doses.doses[at]!;
  };
  for (let d = node.decisions; d; d = d.before) {
    if (d.kind === 'dose') {
      const dose = doseOf(d.column);
      if (dose < d.lower - SAME_DOSE || dose > d.upper + SAME_DOSE) return false;
    } else if (d.kind === 'in' || d.kind === 'out') {
      const dose = doseOfHop(problem, d.variety, doses);
      if (d.kind === 'out' ? dose > SAME_DOSE : dose < leastOf(problem, d.variety) - SAME_DOSE) {
        return false;
      }
    } else if (d.kind === 'added') {
      if (doseOf(d.column) < leastDose(problem) - SAME_DOSE) return false;
    } else if (d.kind === 'form_out') {
      const { variety, form } = d;
      const isOut = (j: number) =>
        problem.columns[j]!.variety === variety && problem.columns[j]!.form === form;
      if (doses.columns.some((j) => isOut(j) && doseOf(j) > SAME_DOSE)) return false;
    }
  }
  const inside = decidedIn(problem, node);
  if (inside.size < problem.hopsAtMost) return true;
  return doses.columns.every((j) => inside.has(problem.columns[j]!.variety));
}

function doseOfHop(problem: BlendProblem, v: number, { columns, doses }: Doses): number {
  let sum = 0;
  columns.forEach((j, k) => {
    const { variety, stage } = problem.columns[j]!;
    if (variety === v && stage !== null) sum += doses[k]!;
  });
  return sum;
}

/** More forms of a hop, or more additions, than there may be in one of the blends. */
export function byCounts(
  problem: BlendProblem,
  node: Node,
  blends: readonly Doses[],
): Child[] | null {
  for (const doses of blends) {
    const forms = byForms(problem, node, doses);
    if (forms) return forms;
    const added = decidedAdditions(node);
    const [heaviest, ...rest] = undecidedAdditions(problem, added, doses);
    if (heaviest === undefined || added.size + 1 + rest.length <= problem.additionsAtMost) continue;
    const { decisions: before } = node;
    return [
      child({ ...node, decisions: { kind: 'added', column: heaviest, before } }),
      child({ ...node, decisions: { kind: 'dose', column: heaviest, lower: 0, upper: 0, before } }),
    ];
  }
  return null;
}

/** Where the blends of the groups differ most: in having a hop, in a dose, in the load. */
export function byDraws(
  problem: BlendProblem,
  node: Node,
  blends: readonly Doses[],
): Child[] | null {
  const inside = decidedIn(problem, node);
  const n = blends.length;
  const hops = new Map<number, number>();
  const doses = new Map<number, Spread>();
  const loads = new Spread();
  for (const blend of blends) {
    let load = 0;
    blend.columns.forEach((j, k) => {
      const dose = blend.doses[k]!;
      const { variety: v, stage } = problem.columns[j]!;
      if (problem.dry[j]) load += dose;
      if (stage !== null && !inside.has(v)) hops.set(v, (hops.get(v) ?? 0) + dose / n);
      let spread = doses.get(j);
      if (!spread) doses.set(j, (spread = new Spread()));
      spread.add(dose);
    });
    loads.add(load);
  }
  let best: { readonly score: number; readonly children: () => Child[] | null } | null = null;
  const consider = (score: number, children: () => Child[] | null) => {
    if (score > (best?.score ?? SAME_DOSE)) best = { score, children };
  };
  for (const [v, dose] of hops) consider(dose, () => byHop(problem, node, v));
  for (const [j, spread] of doses) {
    consider(DOSE_WEIGHT * spread.deviation(n), () => byDose(problem, node, j, spread.mean(n)));
  }
  consider(LOAD_WEIGHT * loads.deviation(n), () => atLoad(problem, node, loads.mean(n)));
  const picked = best as { readonly children: () => Child[] | null } | null;
  return picked?.children() ?? null;
}

function byHop(problem: BlendProblem, node: Node, variety: number): Child[] {
  const before = node.decisions;
  const with_: Decision = { kind: 'in', variety, before };
  const inside = decidedIn(problem, { ...node, decisions: with_ });
  let { columns } = node;
  if (inside.size >= problem.hopsAtMost) {
    columns = columnsIn(problem, node).filter((j) => inside.has(problem.columns[j]!.variety));
  }
  return [
    child({ ...node, decisions: with_, ...(columns && { columns }) }),
    child({ ...node, decisions: { kind: 'out', variety, before } }),
  ];
}

function byDose(problem: BlendProblem, node: Node, column: number, mean: number): Child[] | null {
  let [lower, upper] = [0, problem.columns[column]!.most];
  for (let d = node.decisions; d; d = d.before) {
    if (d.kind !== 'dose' || d.column !== column) continue;
    lower = Math.max(lower, d.lower);
    upper = Math.min(upper, d.upper);
  }
  const { step } = problem;
  let at = mean;
  let next = at;
  if (step > 0) {
    at = Math.floor(at / step + 1e-9) * step;
    next = at + step;
  }
  if (next > upper + SAME_DOSE || at < lower - SAME_DOSE) return null;
  const before = node.decisions;
  const part = (low: number, high: number) =>
    child({ ...node, decisions: { kind: 'dose', column, lower: low, upper: high, before } });
  return [part(lower, at), part(next, upper)];
}

function atLoad({ step }: BlendProblem, node: Node, load: GramsPerLitre): Child[] | null {
  const { from, to } = node.interval;
  let at = load;
  let next = at;
  if (step > 0) {
    at = Math.floor(load / step + 1e-9) * step;
    next = at + step;
  }
  if (at < from || next > to) return null;
  return [
    child({ ...node, interval: { from, to: at } }),
    child({ ...node, interval: { from: next, to } }),
  ];
}

/** Doses of a column over blends; those that have none of it count as 0. */
class Spread {
  private readonly values: number[] = [];

  add(value: number): void {
    this.values.push(value);
  }

  mean(n: number): number {
    return this.values.reduce((a, b) => a + b, 0) / n;
  }

  /** Mean distance from the mean. */
  deviation(n: number): number {
    const mean = this.mean(n);
    const off = this.values.reduce((sum, value) => sum + Math.abs(value - mean), 0);
    return (off + (n - this.values.length) * mean) / n;
  }
}
