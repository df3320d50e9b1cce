// What stands behind a filled-in equation: the steps it is worked out by, the rows it reads, and which
// share of it rests on which kind of evidence.
import { STATUSES, type Status } from '#shared/ids.ts';
import { valueOf, type Leaf, type Line, type Term } from './terms.ts';

/** Terms a term is made of. */
function within(term: Term): readonly Term[] {
  if ('parts' in term) return term.parts.map((p) => p.term);
  if ('first' in term) return [term.first, term.second];
  return 'of' in term ? [term.of] : [];
}

/** A line and all lines it is worked out from, each once, itself first. */
export function linesOf(top: Line): Line[] {
  const lines = new Set<Line>();
  const visit = (term: Term) => {
    if (term.kind === 'line') add(term.line);
    else within(term).forEach(visit);
  };
  const add = (of: Line) => {
    if (lines.has(of)) return;
    lines.add(of);
    visit(of.term);
  };
  add(top);
  return [...lines];
}

/** Every figure behind a line that has an id, each once. */
export function leavesOf(top: Line): Leaf[] {
  const leaves = new Map<string, Leaf>();
  const visit = (term: Term) => {
    if (term.kind !== 'leaf') within(term).forEach(visit);
    else if (term.id !== null && !leaves.has(`${term.id} ${term.value}`)) {
      leaves.set(`${term.id} ${term.value}`, term);
    }
  };
  for (const { term } of linesOf(top)) visit(term);
  return [...leaves.values()];
}

/** Shares by status, adding up to 1. */
export type Ground = Readonly<Partial<Record<Status, number>>>;

/** From firm to weak. */
const FIRMNESS: readonly Status[] = ['analysis', 'seen', 'derived', 'memory', 'estimated'];

/** The weakest of some statuses: what is made of several figures is no firmer than any of them. */
export function weakest(...statuses: readonly Status[]): Status {
  return FIRMNESS[Math.max(...statuses.map((s) => FIRMNESS.indexOf(s)))]!;
}

/** Each part of a product is as weak as the weakest of what it is made of. */
function crossed(a: Ground | null, b: Ground | null): Ground | null {
  if (!a || !b) return a ?? b;
  const shares: Partial<Record<Status, number>> = {};
  for (const x of STATUSES) {
    for (const y of STATUSES) {
      const share = (a[x] ?? 0) * (b[y] ?? 0);
      const status = weakest(x, y);
      if (share > 0) shares[status] = (shares[status] ?? 0) + share;
    }
  }
  return shares;
}

function weakestOf(term: Term): Ground | null {
  const statuses = (of: Term): readonly Status[] => {
    if (of.kind === 'line') return statuses(of.line.term);
    if (of.kind === 'leaf') return of.judged ? [of.judged] : [];
    return within(of).flatMap(statuses);
  };
  const found = statuses(term);
  return found.length === 0 ? null : { [weakest(...found)]: 1 };
}

/**
 * What share of a term rests on which status: of figures of hops and thresholds, weighed by what they
 * bring to it. `null` where no such figure stands in it.
 */
export function groundOf(term: Term): Ground | null {
  switch (term.kind) {
    case 'leaf':
      return term.judged && { [term.judged]: 1 };
    case 'line':
      return groundOf(term.line.term);
    case 'product':
      return term.parts.map((p) => groundOf(p.term)).reduce(crossed, null);
    case 'over':
      return crossed(groundOf(term.first), groundOf(term.second));
    case 'power':
      return groundOf(term.first);
    case 'least':
    case 'most': {
      const chosen = term.parts.find((p) => valueOf(p.term) === valueOf(term))!;
      return groundOf(chosen.term);
    }
    case 'sum': {
      const shares: Partial<Record<Status, number>> = {};
      let whole = 0;
      for (const part of term.parts) {
        const ground = groundOf(part.term);
        if (!ground) continue;
        const size = Math.abs(valueOf(part.term));
        whole += size;
        for (const s of STATUSES) if (ground[s]) shares[s] = (shares[s] ?? 0) + ground[s] * size;
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
