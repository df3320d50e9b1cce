// The next batch after one that was tasted: the blend as brewed, changed as little as it can be, in grams
// that come or go, so that the wishes hold by what was learned. First the additions as they are, then the
// same hops at every stage, then every hop on offer. Doses are free, as while a wish is dragged: the least
// change at each load is exact, the load itself is found.
import type { AxisId } from '#shared/ids.ts';
import type { Miss, PointBlend } from '#shared/answers/answer.ts';
import { wishSubject } from '#shared/answers/wish-subject.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Addition, Brief, Candidate } from '#shared/schemas/brief.ts';
import { nameKey } from '#shared/name-key.ts';
import { lotKey } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { Continuous } from '#optimize/live/continuous.ts';
import type { Run } from '#optimize/pacing/clock.ts';
import { additionsOf, checkedPoint } from '#optimize/problem/check.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { restrictedToColumns } from '#optimize/problem/restrict.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { withUsualDoses } from '#optimize/problem/usual-doses.ts';
import { handMade } from './by-hand.ts';

/** How much inside its wishes a blend is looked for, so that weighing does not lead out, intensity. */
const INSIDE = [0.01, 0.03] as const;
/** Hops of another kind are worth it only where they come nearer by this, intensity. */
const NEARER = 0.1;
/** Where the wishes cannot be met, so much further off is taken for less change, intensity. */
const CLOSEST_ROOM = 0.05;
/** A move alone that brings a note less far than this helps nobody, intensity. */
const LEAST_HELP = 0.05;
/** Doses below this are nothing, g/L. */
const ZERO_DOSE = 1e-9;

/** What may change. */
export type ChangedHops = 'doses' | 'stages' | 'hops';

/** One addition that comes, goes or gets another dose. */
export interface MovedAddition {
  readonly addition: Addition;
  /** Grams as brewed, and now. */
  readonly from: number;
  readonly to: number;
  /** The missed note it brings nearest by itself, and by how much in intensity; `null`: none. */
  readonly helps: { readonly axis: AxisId; readonly by: number } | null;
}

export interface NextBatch {
  /** `null` where the blend as brewed meets every wish already. */
  readonly changed: ChangedHops | null;
  readonly moved: readonly MovedAddition[];
  /** As brewed and now, both by what was learned. */
  readonly before: PointBlend;
  readonly after: PointBlend;
}

const keyOf = (lot: Candidate, stage: string) => `${stage}|${lotKey(lot)}`;
const lotOf = ({ stage: _, grams: __, ...lot }: Addition): Candidate => lot;
const axisOf = ({ wish }: Miss): AxisId | null => {
  const subject = wishSubject(wish);
  return subject?.kind === 'axis' ? subject.axis : null;
};

/** Each lot once. */
function lotsOf(lots: readonly Candidate[]): Candidate[] {
  return [...new Map(lots.map((lot) => [lotKey(lot), lot])).values()];
}

/** Lots on offer of other hops or forms than these: a lot that was brewed stands for its like. */
function othersIn(model: Model, { candidates }: Brief, own: readonly Candidate[]): Candidate[] {
  const kindOf = ({ hop, form }: Candidate) => `${nameKey(hop)} ${form}`;
  const kinds = new Set(own.map(kindOf));
  const all =
    candidates === 'table'
      ? model.hops
          .filter(({ missing }) => missing.length === 0)
          .flatMap(({ name, forms }) => forms.map((form): Candidate => ({ hop: name, form })))
      : candidates;
  return all.filter((lot) => !kinds.has(kindOf(lot)));
}

/**
 * The problem of the least change, counted in g/L that go or come. Its columns: the whole blend as
 * brewed, once; what is taken out of each addition; what is added to each column.
 */
function changing(problem: BlendProblem, brewed: readonly number[]): BlendProblem {
  const { columns, bitter, limits } = problem;
  const n = columns.length;
  const over = (v: Float64Array) =>
    Float64Array.from({ length: 2 * n + 1 }, (_, k) => {
      if (k === 0) return v.reduce((sum, per, j) => sum + per * brewed[j]!, 0);
      return k <= n ? -v[k - 1]! : v[k - n - 1]!;
    });
  const once = new Float64Array(2 * n + 1);
  once[0] = -1;
  return {
    ...problem,
    columns: [
      { ...columns[0]!, most: 1 },
      ...columns.map((c, j) => ({ ...c, most: brewed[j]! })),
      ...columns.map((c, j) => ({ ...c, most: Math.max(0, c.most - brewed[j]!) })),
    ],
    objective: Float64Array.from({ length: 2 * n + 1 }, (_, k) => (k === 0 ? 0 : 1)),
    dry: over(problem.dry),
    axes: problem.axes.map((row) => ({
      ...row,
      direct: over(row.direct),
      damped: row.damped.map(over),
    })),
    bitter: bitter && {
      ...bitter,
      plain: over(bitter.plain),
      terms: bitter.terms.map((term) => ({ ...term, alpha: over(term.alpha) })),
    },
    limits: [
      ...limits.map(({ of, most, taken, coef }) => ({ of, most, taken, coef: over(coef) })),
      { of: { kind: 'objective' }, most: -1, taken: 0, coef: once },
    ],
  };
}

/** Doses of the columns of a problem, from those of the problem of the least change. */
function changedFrom(brewed: readonly number[], { columns, doses }: Doses): Doses {
  const n = brewed.length;
  const all = [...brewed];
  columns.forEach((k, i) => {
    if (k > n) all[k - n - 1]! += doses[i]!;
    else if (k > 0) all[k - 1]! -= doses[i]!;
  });
  const used = all.flatMap((dose, j) => (dose > ZERO_DOSE ? [j] : []));
  return { columns: used, doses: used.map((j) => all[j]!) };
}

/** The windows of the wishes smaller by this at both ends, but for those that have no such room. */
function narrowed(problem: BlendProblem, by: number): BlendProblem {
  const axes = problem.axes.map((row) => {
    const room = Math.max(0, Math.min(by, (row.high - row.low) / 2));
    return { ...row, low: row.low + room, high: row.high - room };
  });
  return { ...problem, axes };
}

/** In whole weighing steps, none below what can be weighed out: such stay out, or grow to it. */
function weighed({ columns, doses }: Doses, { limits, batch }: Brief): Doses {
  const least = (limits.smallest_addition_g ?? 0) / batch.beer_l;
  const all = columns.flatMap((j, k): [number, number][] => {
    const dose = doses[k]!;
    if (dose >= least) return [[j, dose]];
    return dose < least / 2 ? [] : [[j, least]];
  });
  return { columns: all.map(([j]) => j), doses: all.map(([, dose]) => dose) };
}

/** The least changed blend of a stated problem; `null` where the hard limits leave none. */
function leastChanged(
  model: Model,
  brief: Brief,
  whole: BlendProblem,
  gramsAt: ReadonlyMap<string, number>,
  changed: ChangedHops,
): PointBlend | null {
  const keyIn = (j: number) => {
    const { lot, stage } = whole.columns[j]!;
    return keyOf(whole.offers[lot]!.candidate, stage!);
  };
  let chosen = whole.columns.flatMap(({ stage }, j) =>
    stage !== null && (changed !== 'doses' || gramsAt.has(keyIn(j))) ? [j] : [],
  );
  let best: PointBlend | null = null;
  // Free doses know no count of hops or additions: the least of what comes in is left out until they hold.
  while (chosen.length > 0) {
    const found = leastChangedOf(model, brief, whole, chosen, (j) => gramsAt.get(keyIn(j)) ?? 0);
    if (!found) return best;
    const { blend, doses } = found;
    const overCount = blend.misses.some(({ wish }) => COUNTS.has(wish));
    if (!best || isNearer(blend, best)) best = blend;
    if (!overCount) return best;
    const fresh = doses.columns
      .map((j, k) => ({ j, dose: doses.doses[k]! }))
      .filter(({ j }) => !gramsAt.has(keyIn(j)))
      .sort((a, b) => a.dose - b.dose);
    if (fresh.length === 0) return best;
    const out = fresh[0]!.j;
    const used = new Set(doses.columns);
    chosen = chosen.filter((j) => j !== out && (used.has(j) || gramsAt.has(keyIn(j))));
  }
  return best;
}

/** Limits that free doses know nothing of. */
const COUNTS: ReadonlySet<string> = new Set([
  'limits.hops_at_most',
  'limits.additions_at_most',
  'limits.forms_per_hop_at_most',
]);

/** Whether a blend keeps counts where another does not, or else comes nearer to the wishes. */
function isNearer(blend: PointBlend, other: PointBlend): boolean {
  const over = ({ misses }: PointBlend) => Number(misses.some(({ wish }) => COUNTS.has(wish)));
  const by = over(blend) - over(other);
  return by < 0 || (by === 0 && blend.worst_miss < other.worst_miss);
}

/** The least changed blend of some columns, with its doses in those of the whole problem. */
function leastChangedOf(
  model: Model,
  brief: Brief,
  whole: BlendProblem,
  chosen: readonly number[],
  gramsOf: (column: number) => number,
): { readonly blend: PointBlend; readonly doses: Doses } | null {
  const { problem, inWhole } = restrictedToColumns(whole, chosen);
  const brewed = chosen.map((j) => gramsOf(j) / brief.batch.beer_l);
  const asked = changing(problem, brewed);
  const load = brewed.reduce((sum, d, j) => sum + d * problem.dry[j]!, 0);
  const search = new Continuous(asked, load);
  const weighedOut = (free: Doses) => {
    const doses = weighed(inWhole(changedFrom(brewed, free)), brief);
    return { doses, blend: checkedPoint(model, brief, additionsOf(whole, brief, doses)) };
  };
  const tried = INSIDE.flatMap((inside) => {
    // By `closest`, as few additions may meet the wishes at a load between two that are scanned.
    const found = search.closest(narrowed(asked, inside), inside / 2);
    return found && found.miss <= inside / 2 ? [weighedOut(found.doses)] : [];
  });
  const good = tried.find(({ blend: { misses } }) => misses.length === 0) ?? tried[0];
  if (good) return good;
  const closest = search.closest(asked, CLOSEST_ROOM);
  return closest && weighedOut(closest.doses);
}

/**
 * The next batch after a brew.
 * @param brief with the wishes and limits, its batch and stages as brewed.
 * @param brewed additions as brewed.
 * Fails where the brew cannot be predicted or the brief asks for nothing that can be.
 */
export function* nextBatch(
  base: Model,
  brief: Brief,
  brewed: readonly Addition[],
): Run<null, Outcome<NextBatch>> {
  const model = modelFor(base, brief);
  const made = handMade(model, brief, brewed);
  if (!made.ok) return made;
  const before = checkedPoint(model, brief, made.value);
  if (before.misses.length === 0)
    return success({ changed: null, moved: [], before, after: before });
  const gramsAt = new Map<string, number>();
  for (const addition of brewed) {
    const key = keyOf(lotOf(addition), addition.stage);
    gramsAt.set(key, (gramsAt.get(key) ?? 0) + addition.grams);
  }
  const own = lotsOf(brewed.map(lotOf));
  const { keep: _, ...free } = brief;
  const { batch, stages } = brief;
  const limits = withUsualDoses(model, brief.limits, { batch, stages, additions: [...brewed] });
  const ways: { changed: ChangedHops; candidates: Brief['candidates'] }[] = [
    { changed: 'doses', candidates: own },
    { changed: 'stages', candidates: own },
    {
      changed: 'hops',
      candidates: lotsOf([...othersIn(model, brief, own), ...own]),
    },
  ];
  let best: { readonly changed: ChangedHops; readonly after: PointBlend } | null = null;
  for (const { changed, candidates } of ways) {
    yield null;
    const asked = { ...free, candidates, limits };
    const stated = problemOf(model, asked);
    if (!stated.ok) {
      // Hops required of the design may not be among those brewed; every hop on offer is tried last.
      if (changed === 'hops' && !best) return stated;
      continue;
    }
    const after = leastChanged(model, asked, stated.value, gramsAt, changed);
    if (after && (!best || after.worst_miss < best.after.worst_miss - NEARER)) {
      best = { changed, after };
    }
    if (best?.after.misses.length === 0) break;
  }
  if (!best) return success({ changed: null, moved: [], before, after: before });
  const { changed, after } = best;
  return success({ changed, before, after, moved: movedIn(model, brief, brewed, before, after) });
}

/** What moved, the largest move first, each with the missed note it helps most when it alone is made. */
function movedIn(
  model: Model,
  brief: Brief,
  brewed: readonly Addition[],
  before: PointBlend,
  after: PointBlend,
): MovedAddition[] {
  const all = new Map<string, { addition: Addition; from: number; to: number }>();
  const put = (addition: Addition, side: 'from' | 'to') => {
    const key = keyOf(lotOf(addition), addition.stage);
    const row = all.get(key) ?? { addition, from: 0, to: 0 };
    row[side] += addition.grams;
    all.set(key, row);
  };
  for (const addition of brewed) put(addition, 'from');
  for (const addition of after.additions) put(addition, 'to');
  const missed = before.misses.flatMap((miss) => {
    const axis = axisOf(miss);
    return axis ? [axis] : [];
  });
  const rows = [...all.values()];
  return rows
    .filter(({ from, to }) => Math.abs(from - to) > 1e-9 * Math.max(from, to))
    .map((row) => {
      const alone = rows.flatMap((one) => {
        const grams = one === row ? one.to : one.from;
        return grams > 0 ? [{ ...one.addition, grams }] : [];
      });
      const made = handMade(model, brief, alone);
      const point = made.ok ? checkedPoint(model, brief, made.value) : null;
      const helped = missed.map((axis) => {
        const wanted = Math.sign(after.axes[axis].intensity - before.axes[axis].intensity);
        const by = point ? point.axes[axis].intensity - before.axes[axis].intensity : 0;
        return { axis, by, worth: by * wanted };
      });
      const most = helped.sort((a, b) => b.worth - a.worth)[0];
      const helps = most && most.worth >= LEAST_HELP ? { axis: most.axis, by: most.by } : null;
      return { ...row, helps };
    })
    .sort((a, b) => Math.abs(b.to - b.from) - Math.abs(a.to - a.from));
}
