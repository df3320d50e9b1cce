// What a filled-in equation rests on: the steps it is computed from, the rows it reads, and the share of it
// that rests on each kind of evidence.
import { STATUSES, type Status } from '#shared/ids.ts';
import { shownWithin } from './reading.ts';
import { valueOf, type Leaf, type Line, type Term } from './term.ts';

/** A line and all lines it is computed from, each once, itself first. */
export function linesOf(top: Line): Line[] {
  const lines = new Set<Line>();
  const visit = (term: Term) => {
    if (term.kind === 'line') add(term);
    else shownWithin(term).forEach(visit);
  };
  const add = (of: Line) => {
    if (lines.has(of)) return;
    lines.add(of);
    if (!of.manySteps) visit(of.term);
  };
  add(top);
  return [...lines];
}

/** Every figure behind a line that has an id, each once. */
export function leavesOf(top: Line): Leaf[] {
  const leaves = new Map<string, Leaf>();
  const add = (leaf: Leaf) => {
    const key = `${leaf.id} ${leaf.value}`;
    if (leaf.id !== null && !leaves.has(key)) leaves.set(key, leaf);
  };
  const visit = (term: Term) => {
    if (term.kind === 'leaf') add(term);
    else if (term.kind !== 'line') shownWithin(term).forEach(visit);
  };
  for (const { term } of linesOf(top)) visit(term);
  return [...leaves.values()];
}

/** Shares by status, adding up to 1. */
export type EvidenceShares = Readonly<Partial<Record<Status, number>>>;

/** From firm to weak. */
const FIRMNESS: readonly Status[] = [
  'analysis',
  'yours',
  'seen',
  'derived',
  'printed',
  'memory',
  'reported',
  'estimated',
];

/** The weakest of some statuses: a figure made from several is no firmer than the weakest of them. */
export function weakest(...statuses: readonly Status[]): Status {
  return FIRMNESS[Math.max(...statuses.map((s) => FIRMNESS.indexOf(s)))]!;
}

/** Each part of a product is as weak as the weakest of its factors. */
function crossed(a: EvidenceShares | null, b: EvidenceShares | null): EvidenceShares | null {
  if (!a || !b) return a ?? b;
  const shares: Partial<Record<Status, number>> = {};
  for (const x of STATUSES) {
    const part = a[x];
    if (!part) continue;
    for (const y of STATUSES) {
      const share = part * (b[y] ?? 0);
      if (share <= 0) continue;
      const status = weakest(x, y);
      shares[status] = (shares[status] ?? 0) + share;
    }
  }
  return shares;
}

/** Many lines share a step, so the result of each step is kept. */
const weakestStatuses = new WeakMap<Line, Status | null>();

/** The weakest status among the judged figures of a term; `null` where it has none. */
function weakestStatus(term: Term): Status | null {
  if (term.kind === 'leaf') return term.judged;
  if (term.kind === 'line') {
    let known = weakestStatuses.get(term);
    if (known === undefined) weakestStatuses.set(term, (known = weakestStatus(term.term)));
    return known;
  }
  const found = shownWithin(term).flatMap((of) => weakestStatus(of) ?? []);
  return found.length === 0 ? null : weakest(...found);
}

function weakestOf(term: Term): EvidenceShares | null {
  const found = weakestStatus(term);
  return found && { [found]: 1 };
}

const sharesOfLines = new WeakMap<Line, EvidenceShares | null>();

/**
 * Shares of a term by the status of the hop figures and thresholds in it, each weighed by what it contributes;
 * they add up to 1. `null` where the term has no such figure.
 */
export function evidenceShares(term: Term): EvidenceShares | null {
  switch (term.kind) {
    case 'leaf':
      return term.judged && { [term.judged]: 1 };
    case 'line': {
      let known = sharesOfLines.get(term);
      if (known === undefined) {
        known = evidenceShares(term.scaleOf ?? term.term);
        sharesOfLines.set(term, known);
      }
      return known;
    }
    case 'product':
      return shownWithin(term).map(evidenceShares).reduce(crossed, null);
    case 'over':
      return crossed(evidenceShares(term.first), evidenceShares(term.second));
    case 'power':
      return evidenceShares(term.first);
    case 'least':
    case 'most': {
      const value = valueOf(term);
      return evidenceShares(term.terms.find((of) => valueOf(of) === value)!);
    }
    case 'list':
    case 'sum': {
      const shares: Partial<Record<Status, number>> = {};
      let whole = 0;
      for (const part of shownWithin(term)) {
        const of = evidenceShares(part);
        if (!of) continue;
        const size = Math.abs(valueOf(part));
        whole += size;
        for (const s of STATUSES) if (of[s]) shares[s] = (shares[s] ?? 0) + of[s] * size;
      }
      if (whole === 0) return null;
      for (const s of STATUSES) if (shares[s]) shares[s] /= whole;
      return shares;
    }
    case 'minus':
    case 'exp':
    case 'ln':
    case 'log10':
      return weakestOf(term);
  }
}
