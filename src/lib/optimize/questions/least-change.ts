// The blend that meets the wishes of a brief with the least change to one that was brewed, in grams that come or
// go. Doses are free, as while a wish is dragged: the least change at each load is exact, the load itself is found.
// What free doses do not know, counts of hops and additions, is held by leaving out the least of what comes in.
import type { PointBlend } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { lotKey } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { Continuous } from '#optimize/live/continuous.ts';
import { additionsOf, checkedPoint } from '#optimize/problem/check.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { restrictedToColumns } from '#optimize/problem/restrict.ts';

/** How much inside its wishes a blend is looked for, so that weighing does not lead out, intensity. */
const INSIDE = [0.01, 0.03] as const;
/** Where the wishes cannot be met, so much further off is taken for less change, intensity. */
const CLOSEST_ROOM = 0.05;
/** Doses below this are nothing, g/L. */
const ZERO_DOSE = 1e-9;

/** What may change. */
export type ChangedHops = 'doses' | 'stages' | 'hops';

/** The key by which an addition of one brew is found again in the next. */
export const keyOf = (lot: Candidate, stage: string) => `${stage}|${lotKey(lot)}`;

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

/** The doses as they can be weighed out: those below half the smallest addition are left out, others raised to it. */
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
export function* leastChanged(
  model: Model,
  brief: Brief,
  whole: BlendProblem,
  gramsAt: ReadonlyMap<string, number>,
  changed: ChangedHops,
): Resting<PointBlend | null> {
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
    yield;
    const found = yield* leastChangedOf(
      model,
      brief,
      whole,
      chosen,
      (j) => gramsAt.get(keyIn(j)) ?? 0,
    );
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
function* leastChangedOf(
  model: Model,
  brief: Brief,
  whole: BlendProblem,
  chosen: readonly number[],
  gramsOf: (column: number) => number,
): Resting<{ readonly blend: PointBlend; readonly doses: Doses } | null> {
  const { problem, inWhole } = restrictedToColumns(whole, chosen);
  const brewed = chosen.map((j) => gramsOf(j) / brief.batch.beer_l);
  const asked = changing(problem, brewed);
  const load = brewed.reduce((sum, d, j) => sum + d * problem.dry[j]!, 0);
  const search = new Continuous(asked, load);
  const weighedOut = (free: Doses) => {
    const doses = weighed(inWhole(changedFrom(brewed, free)), brief);
    return { doses, blend: checkedPoint(model, brief, additionsOf(whole, brief, doses)) };
  };
  const tried: ReturnType<typeof weighedOut>[] = [];
  for (const inside of INSIDE) {
    // By `closest`, as few additions may meet the wishes at a load between two that are scanned.
    const found = yield* search.closest(narrowed(asked, inside), inside / 2);
    if (found && found.miss <= inside / 2) tried.push(weighedOut(found.doses));
  }
  const good = tried.find(({ blend: { misses } }) => misses.length === 0) ?? tried[0];
  if (good) return good;
  const closest = yield* search.closest(asked, CLOSEST_ROOM);
  return closest && weighedOut(closest.doses);
}
