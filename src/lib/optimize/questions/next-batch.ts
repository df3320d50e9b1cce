// The next batch after one that was tasted: the blend as brewed, changed as little as it can be, so that the
// wishes hold by what was learned (least-change.ts). First the additions as they are, then the same hops at
// every stage, then every hop on offer. Says of each change which missed note it helps.
import type { AxisId } from '#shared/ids.ts';
import type { Miss, PointBlend } from '#shared/answers/answer.ts';
import { wishSubject } from '#shared/answers/wish-subject.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition, Candidate } from '#shared/schemas/lot.ts';
import { nameKey } from '#shared/name-key.ts';
import { lotKey } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { checkedPoint } from '#optimize/problem/check.ts';
import { stating } from '#optimize/problem/stating.ts';
import { withUsualDoses } from '#optimize/problem/usual-doses.ts';
import { handMade } from './by-hand.ts';
import { keyOf, leastChanged, type ChangedHops } from './least-change.ts';

/** Other hops are taken only where they come nearer by this, intensity. */
const NEARER = 0.1;
/** A move is said to help a note only where it alone brings it nearer by this, intensity. */
const LEAST_HELP = 0.05;
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
  /** `null` where the blend as brewed meets every wish already, or where no change comes nearer to them. */
  readonly changed: ChangedHops | null;
  readonly moved: readonly MovedAddition[];
  /** As brewed and now, both by what was learned. */
  readonly before: PointBlend;
  readonly after: PointBlend;
}

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
 * The next batch after a brew.
 * @param brief with the wishes and limits, its batch and stages as brewed.
 * @param brewed additions as brewed.
 * Fails where the brew cannot be predicted or the brief asks for nothing that can be.
 */
export function* nextBatch(
  base: Model,
  brief: Brief,
  brewed: readonly Addition[],
): Resting<Outcome<NextBatch>> {
  const model = modelFor(base, brief);
  const made = handMade(model, brief, brewed);
  if (!made.ok) return made;
  const before = checkedPoint(model, brief, made.value);
  const asBrewed = success<NextBatch>({ changed: null, moved: [], before, after: before });
  if (before.misses.length === 0) return asBrewed;
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
    yield;
    const asked = { ...free, candidates, limits };
    const stated = yield* stating(model, asked);
    if (!stated.ok) {
      // Hops required of the design may not be among those brewed; every hop on offer is tried last.
      if (changed === 'hops' && !best) return stated;
      continue;
    }
    const after = yield* leastChanged(model, asked, stated.value, gramsAt, changed);
    if (after && (!best || after.worst_miss < best.after.worst_miss - NEARER)) {
      best = { changed, after };
    }
    if (best?.after.misses.length === 0) break;
  }
  if (!best) return asBrewed;
  const { changed, after } = best;
  const moved = movedIn(model, brief, brewed, before, after);
  return moved.length === 0 ? asBrewed : success({ changed, before, after, moved });
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
