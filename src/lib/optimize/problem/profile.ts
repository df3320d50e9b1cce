// The profile of a schedule as something to keep: wishes cut from what it gives, and how far another
// blend is from it. An axis the schedule does not reach is no part of its profile; a blend that does
// reach it differs by what it has of it beyond that.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { AxisChange, TotalsChange } from '#shared/answers/comparison.ts';
import type { PointBlend } from '#shared/answers/answer.ts';
import type { Totals } from '#shared/answers/prediction.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief, Limits, Schedule, Target } from '#shared/schemas/brief.ts';
import { intensityOf, signalOf } from '#engine/predict/smell.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';
import { lotsOf, predictPoint, totalsOf } from '#engine/predict/predict.ts';
import { withUsualDoses } from './usual-doses.ts';

/** Intensity from which an axis belongs to a profile: half of what is just noticeable. */
export const REACHED = 0.5;

export interface Profile {
  readonly design: Design;
  readonly signals: Readonly<Record<AxisId, number>>;
  readonly intensities: Readonly<Record<AxisId, number>>;
  readonly totals: Totals;
}

/** What a schedule gives, at the defaults. Fails where it cannot be predicted. */
export function profileOf(model: Model, schedule: Schedule): Outcome<Profile> {
  const designed = designOf(model, schedule);
  if (!designed.ok) return designed;
  const design = designed.value;
  if (lotsOf(design).length === 0) {
    return failure({
      path: 'additions',
      message: 'there are no hops in the schedule',
      cure: 'List the additions with their grams',
    });
  }
  const point = predictPoint(model, design);
  const byAxis = (figures: readonly number[]) =>
    Object.fromEntries(AXES.map((a, i) => [a, figures[i]!])) as Record<AxisId, number>;
  return success({
    design,
    signals: byAxis(point.signals),
    intensities: byAxis(point.intensities),
    totals: totalsOf(design, point),
  });
}

/** The profile itself as wishes: every axis it reaches exactly, the others below notice. */
export function sameProfile({ intensities }: Profile): Target {
  return Object.fromEntries(
    AXES.map((axis) => {
      const at = intensities[axis];
      return [axis, at >= REACHED ? { aim: at, within: 0 } : { at_most: REACHED }];
    }),
  );
}

/**
 * Wishes that no axis changes noticeably: its signal, which is linear in concentration, stays between
 * 1/(1 + jnd) and (1 + jnd) of what it was. An axis below 0.5 stays below 0.5 times that room.
 * @param jnd just noticeable difference in concentration, a fraction.
 */
export function unnoticed(model: Model, { signals, intensities }: Profile, jnd: number): Target {
  const values = defaultValues(model);
  const unseen = signalOf(REACHED, values);
  return Object.fromEntries(
    AXES.map((axis) => {
      const at = signals[axis];
      const most = intensityOf(Math.max(at, unseen) * (1 + jnd), values);
      const least = intensityOf(at / (1 + jnd), values);
      return [
        axis,
        { ...(intensities[axis] >= REACHED ? { at_least: least } : {}), at_most: most },
      ];
    }),
  );
}

/** The most that an axis may rise and go unnoticed, in intensity: that of the axis where it is most. */
export function noticeableStep(model: Model, { signals, intensities }: Profile): number {
  const values = defaultValues(model);
  const jnd = values['aroma.jnd'];
  return Math.max(
    ...AXES.map((axis) => intensityOf(signals[axis] * (1 + jnd), values) - intensities[axis]),
  );
}

/** Change of every axis from the profile to a blend; `noticeable` by the just noticeable difference. */
export function axisChanges(
  model: Model,
  profile: Profile,
  blend: Pick<PointBlend, 'axes'>,
  jnd: number,
): Record<AxisId, AxisChange> {
  const kept = unnoticed(model, profile, jnd);
  return Object.fromEntries(
    AXES.map((axis) => {
      const from = profile.intensities[axis];
      const to = blend.axes[axis].intensity;
      const { at_least = 0, at_most = Infinity } = kept[axis]!;
      const noticeable = to < at_least * (1 - 1e-7) || to > at_most * (1 + 1e-7);
      return [axis, { from, to, change: to - from, noticeable }];
    }),
  ) as Record<AxisId, AxisChange>;
}

/** Change of the totals; of the cost `null` where one of the two is not known. */
export function totalsChange(from: Totals, to: Totals): TotalsChange {
  return {
    hop_g: to.hop_g - from.hop_g,
    ibu: to.ibu - from.ibu,
    leaf_g_per_l: to.leaf_g_per_l - from.leaf_g_per_l,
    beer_lost_l: to.beer_lost_l - from.beer_lost_l,
    cost: to.cost === null || from.cost === null ? null : to.cost - from.cost,
  };
}

/** A brief around a schedule: its batch and stages, other wishes, candidates and limits. */
export function briefAround(
  model: Model,
  schedule: Schedule,
  rest: Pick<Brief, 'target' | 'candidates' | 'minimise'> & Pick<Partial<Brief>, 'keep'>,
  limits: Limits,
): Brief {
  const { name, batch, stages } = schedule;
  return { name, batch, stages, ...rest, limits: withUsualDoses(model, limits, schedule) };
}
