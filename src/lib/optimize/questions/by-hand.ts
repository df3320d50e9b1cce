// What additions made by hand give, judged by the same engine and the same wishes as a designed blend,
// and how they stand beside the schedule brewed usually. Nothing is searched here.
import type { Blend, PointBlend } from '#shared/answers/answer.ts';
import type { Totals } from '#shared/answers/prediction.ts';
import type { AxisId } from '#shared/ids.ts';
import type { AxisChange, TotalsChange } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief, Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Grams } from '#shared/units.ts';
import { designFor, lotKey, mayBeSameLot } from '#engine/predict/design.ts';
import { defaultValues, modelFor, type Model } from '#engine/tables/model.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { checkedPoint, checkingAdditions, type BlendAdditions } from '#optimize/problem/check.ts';
import { Clock, listening, pause, STOPPED, type Run } from '#optimize/pacing/clock.ts';
import { axisChanges, profileOf, totalsChange } from '#optimize/problem/profile.ts';

/** Two additions of the same key are the same grams of the same lot at the same stage. */
function additionKey(addition: Addition): string {
  return `${addition.stage}|${addition.grams}|${lotKey(addition)}`;
}

/** The grams on hand of each lot of a stock that may be one of these, by the lot's key. */
function stockOf({ candidates }: Brief, used: readonly Addition[]): Map<string, Grams> {
  const stock = new Map<string, Grams>();
  for (const lot of candidates === 'table' ? [] : candidates) {
    if (lot.grams_on_hand === undefined) continue;
    if (!used.some((addition) => mayBeSameLot(lot, addition))) continue;
    stock.set(lotKey(lot), (stock.get(lotKey(lot)) ?? 0) + lot.grams_on_hand);
  }
  return stock;
}

/**
 * Additions as a blend of the brief: those it keeps count as kept, lots of its stock have what is on
 * hand. Fails where one cannot be predicted, with its place in the list.
 */
export function handMade(
  model: Model,
  brief: Brief,
  additions: readonly Addition[],
): Outcome<BlendAdditions> {
  const designed = designFor(model, brief, additions);
  if (!designed.ok) return designed;
  const stock = stockOf(brief, additions);
  const withStock = new Map<Lot, Lot>();
  const fixed = (brief.keep ?? []).map(additionKey);
  const rows = designed.value.additions.flatMap((row, i) => {
    const document = additions[i]!;
    if (document.grams === 0) return [];
    const onHand = stock.get(lotKey(document));
    let lot = withStock.get(row.lot);
    if (!lot) {
      lot = onHand === undefined ? row.lot : { ...row.lot, gramsOnHand: onHand };
      withStock.set(row.lot, lot);
    }
    const at = fixed.indexOf(additionKey(document));
    if (at >= 0) fixed.splice(at, 1);
    return [{ document, addition: { ...row, lot }, isFixed: at >= 0 }];
  });
  return success({
    documents: rows.map((r) => r.document),
    lots: rows.map((r) => r.addition),
    chosen: rows.filter((r) => !r.isFixed).map((r) => r.addition),
  });
}

/** Predicts additions made by hand: the point at once, the whole with bands after it. */
export function* foreseeing(
  base: Model,
  brief: Brief,
  additions: readonly Addition[],
): Run<PointBlend, Outcome<Blend>> {
  const model = modelFor(base, brief);
  const made = handMade(model, brief, additions);
  if (!made.ok) return made;
  const point = checkedPoint(model, brief, made.value);
  const clock = new Clock(Infinity);
  yield* pause(clock, point);
  const whole = yield* listening(clock, checkingAdditions(model, brief, made.value), () => point);
  return whole ? success(whole.blend) : failure(STOPPED);
}

/** What additions give as one of them goes through doses: one point for each, in their order. */
export function* foreseeingAlong(
  base: Model,
  brief: Brief,
  additions: readonly Addition[],
  at: number,
  doses: readonly number[],
): Run<null, Outcome<readonly PointBlend[]>> {
  const model = modelFor(base, brief);
  const points: PointBlend[] = [];
  for (const grams of doses) {
    const made = handMade(
      model,
      brief,
      additions.map((addition, i) => (i === at ? { ...addition, grams } : addition)),
    );
    if (!made.ok) return made;
    points.push(checkedPoint(model, brief, made.value));
    if ((yield null) === 'stop') return failure(STOPPED);
  }
  return success(points);
}

/** A blend beside the schedule brewed usually, at the blend's batch. */
export interface Beside {
  readonly usual: Totals;
  readonly blend: Totals;
  readonly change: TotalsChange;
  readonly axes: Readonly<Record<AxisId, AxisChange>>;
  /** What the grams of the usual schedule were multiplied by, to compare at the same volume. */
  readonly scale: number;
  /** Just noticeable difference in concentration, a fraction. */
  readonly jnd: number;
}

/** Compares at the same volume, each schedule at its own yeast and stages. */
export function* comparing(
  base: Model,
  brief: Brief,
  additions: readonly Addition[],
  usual: Schedule,
): Run<null, Outcome<Beside>> {
  const model = modelFor(base, brief);
  const scale = brief.batch.beer_l / usual.batch.beer_l;
  const before = profileOf(model, {
    ...usual,
    batch: { ...usual.batch, beer_l: brief.batch.beer_l },
    additions: usual.additions.map((a) => ({ ...a, grams: a.grams * scale })),
  });
  if (!before.ok) return before;
  const made = handMade(model, brief, additions);
  if (!made.ok) return made;
  const { totals, axes } = checkedPoint(model, brief, made.value);
  const jnd = defaultValues(model)['aroma.jnd'];
  return success({
    usual: before.value.totals,
    blend: totals,
    change: totalsChange(before.value.totals, totals),
    axes: axisChanges(model, before.value, { axes }, jnd),
    scale,
    jnd,
  });
}
