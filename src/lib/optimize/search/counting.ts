// How a node is split where its relaxed blend has more hops, more forms of a hop or more additions than there
// may be. Every split covers the node: no blend is lost between the children.
import type { FormId } from '#shared/ids.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { StartBasis, Relaxed } from '#optimize/relaxation/master-program.ts';
import type { Decision, Node } from '#optimize/relaxation/node.ts';
import { child, decidedIn, type Child } from './branching.ts';

export type Relax = (node: Node, basis: StartBasis | null) => Resting<Relaxed>;

/** Something of which there may be so many: how a node is split over having it or not. */
interface Counted {
  readonly without: (before: Decision | null) => Decision;
  readonly having: (before: Decision | null) => Decision;
}

/** Too many hops in a relaxed blend. */
export function* byHops(
  problem: BlendProblem,
  node: Node,
  relaxed: Relaxed,
  relax: Relax,
): Resting<Child[] | null> {
  const inside = decidedIn(problem, node);
  const { columns, doses } = relaxed.doses;
  const free = new Set<number>();
  columns.forEach((j, k) => {
    const { variety: v, stage } = problem.columns[j]!;
    if (!inside.has(v) && stage !== null && doses[k]! > 0) free.add(v);
  });
  const counted = [...free].map((variety): Counted => ({
    without: (before) => ({ kind: 'out', variety, before }),
    having: (before) => ({ kind: 'in', variety, before }),
  }));
  return yield* byCount(problem.hopsAtMost - inside.size, counted, node, relaxed, relax);
}

/** Columns decided to be additions along a node's decisions. */
export function decidedAdditions({ decisions }: Node): Set<number> {
  const added = new Set<number>();
  for (let d = decisions; d; d = d.before) {
    if (d.kind === 'added' || (d.kind === 'dose' && d.lower > 0)) added.add(d.column);
  }
  return added;
}

/** Too many additions in a relaxed blend. */
export function* byAdditions(
  problem: BlendProblem,
  node: Node,
  relaxed: Relaxed,
  relax: Relax,
): Resting<Child[] | null> {
  if (problem.additionsAtMost === Infinity) return null;
  const added = decidedAdditions(node);
  const free = undecidedAdditions(problem, added, relaxed.doses);
  const counted = free.map((column): Counted => ({
    without: (before) => ({ kind: 'dose', column, lower: 0, upper: 0, before }),
    having: (before) => ({ kind: 'added', column, before }),
  }));
  return yield* byCount(problem.additionsAtMost - added.size, counted, node, relaxed, relax);
}

/** The columns of a blend that are additions and not decided to be, the heaviest first. */
export function undecidedAdditions(
  problem: BlendProblem,
  added: ReadonlySet<number>,
  { columns, doses }: Doses,
): number[] {
  const isFree = (j: number, dose: number) =>
    dose > 0 && problem.columns[j]!.stage !== null && !added.has(j);
  const order = [...columns.keys()].sort((a, b) => doses[b]! - doses[a]!);
  return order.flatMap((k) => (isFree(columns[k]!, doses[k]!) ? [columns[k]!] : []));
}

/**
 * Too many of what is counted: for the free ones v1, v2, ... of the relaxed blend, by falling bound
 * without each: v1 out; v1 in and v2 out; ...; all that may be in, the rest out.
 * @param room how many of them there may be.
 */
function* byCount(
  room: number,
  free: readonly Counted[],
  node: Node,
  relaxed: Relaxed,
  relax: Relax,
): Resting<Child[] | null> {
  if (free.length <= room) return null;
  const out: { counted: Counted; relaxed: Relaxed }[] = [];
  for (const counted of free) {
    const decisions = counted.without(node.decisions);
    out.push({ counted, relaxed: yield* relax({ ...node, decisions }, relaxed.basis) });
  }
  const rank = (r: Relaxed) => (r.status === 'infeasible' ? Infinity : r.bound);
  out.sort((a, b) => rank(b.relaxed) - rank(a.relaxed));
  // A blend lacks at least as many of them as there are too many.
  const needed = free.length - room;
  const floor = rank(out[out.length - needed]!.relaxed);
  const children: Child[] = [];
  let { decisions } = node;
  for (let i = 0; i < out.length; i += 1) {
    const { counted, relaxed: known } = out[i]!;
    if (i === room) {
      children.push({ node: { ...node, decisions }, relaxed: null, floor });
      break;
    }
    children.push({
      node: { ...node, decisions: counted.without(decisions) },
      relaxed: known,
      floor,
    });
    decisions = counted.having(decisions);
  }
  return children;
}

/**
 * A hop in more forms than it may have: of the heaviest of these forms, one more than may be, a blend lacks
 * the first, or the second, and so on.
 */
export function byForms(problem: BlendProblem, node: Node, doses: Doses): Child[] | null {
  const most = problem.formsPerHopAtMost;
  const tooMany = manyForms(problem, doses);
  if (!tooMany) return null;
  const { variety, forms } = tooMany;
  return forms
    .slice(0, most + 1)
    .map((form) =>
      child({ ...node, decisions: { kind: 'form_out', variety, form, before: node.decisions } }),
    );
}

/** The hop with the largest dose in forms beyond those it may have, its forms by falling dose; or `null`. */
export function manyForms(
  { columns, formsPerHopAtMost: most }: BlendProblem,
  blend: Doses,
): { readonly variety: number; readonly forms: readonly FormId[] } | null {
  if (most === Infinity) return null;
  const hops = new Map<number, Map<FormId, number>>();
  blend.columns.forEach((j, k) => {
    const { variety, form, stage } = columns[j]!;
    const dose = blend.doses[k]!;
    if (stage === null || dose <= 0) return;
    let forms = hops.get(variety);
    if (!forms) hops.set(variety, (forms = new Map()));
    forms.set(form, (forms.get(form) ?? 0) + dose);
  });
  let found: { variety: number; forms: FormId[] } | null = null;
  let beyond = 0;
  for (const [variety, forms] of hops) {
    if (forms.size <= most) continue;
    const order = [...forms].sort((a, b) => b[1] - a[1]);
    const rest = order.slice(most).reduce((sum, [, dose]) => sum + dose, 0);
    if (rest > beyond) [found, beyond] = [{ variety, forms: order.map(([form]) => form) }, rest];
  }
  return found;
}
