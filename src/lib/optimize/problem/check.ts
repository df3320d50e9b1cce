// Judges a blend with the engine alone: the doses go back into a design, the design is predicted with
// bands, and every wish and limit of the brief is compared with what was predicted. Nothing of the search
// or its problem is used here, so an error in them shows.
import { wishPath } from '#shared/answers/wish-subject.ts';
import { given } from '#shared/given.ts';
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import type { Blend, BlendAddition, Miss, PointBlend } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { Grams, GramsPerLitre } from '#shared/units.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import type { Design, LotAddition } from '#engine/predict/design.ts';
import { defaultValues, type Model } from '#engine/tables/model.ts';
import { predicting } from '#engine/answer/answer.ts';
import { predictPoint, totalsOf } from '#engine/predict/predict.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { limitMisses } from './limit-checks.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { chancing } from './chance.ts';
import type { BlendProblem } from './problem.ts';
import type { Doses } from './doses.ts';
import { aimOf, IBU_PER_INTENSITY, signalsOf, windowOf } from './windows.ts';

/** Largest relative miss that counts as rounding. */
export const CHECK_TOLERANCE = 1e-6;

/** A blend and whether the engine confirms it. */
export interface Checked {
  readonly blend: Blend;
  /** Limits other than the bitterness window that do not hold; empty unless something is wrong. */
  readonly broken: readonly Miss[];
}

/** Digits of the grams that are shown. */
const DIGITS = 12;

/**
 * Grams of a dose: whole weighing steps to the digit, else the dose times the batch; rounded down
 * where rounding up would be more than is on hand or more than may go into one addition.
 */
function gramsOf(dose: GramsPerLitre, { batch, limits }: Brief, onHand: Grams | null): Grams {
  const { weigh_step_g: step } = limits;
  const exact = dose * batch.beer_l;
  const grams = Number((step ? Math.round(exact / step) * step : exact).toPrecision(DIGITS));
  const over = grams / batch.beer_l > DOSE_G_PER_L_MAX || grams > (onHand ?? Infinity);
  if (!over || step) return grams;
  const digit = 10 ** (Math.floor(Math.log10(grams)) + 1 - DIGITS);
  return Number((grams - digit).toPrecision(DIGITS));
}

/** The additions of a blend: as documents and as the engine takes them, in process order. */
export interface BlendAdditions {
  readonly documents: readonly Addition[];
  readonly lots: readonly LotAddition[];
  /** Those of `lots` that are not kept ones. */
  readonly chosen: readonly LotAddition[];
}

/** The whole schedule of a blend: what the brief keeps, to the gram, and what was chosen. */
export function additionsOf(
  problem: BlendProblem,
  brief: Brief,
  { columns, doses }: Doses,
): BlendAdditions {
  const fixed = (brief.keep ?? []).filter((a) => a.grams > 0);
  const rows: { document: Addition; addition: LotAddition; isFixed: boolean }[] = fixed.map(
    (document, i) => ({ document, addition: problem.fixed.additions[i]!, isFixed: true }),
  );
  columns.forEach((j, k) => {
    const { lot: index, form, stage } = problem.columns[j]!;
    if (stage === null) return;
    const { lot, candidate } = problem.offers[index]!;
    const grams = gramsOf(doses[k]!, brief, lot.gramsOnHand);
    const { price_per_kg, package_g, analysis, storage } = candidate;
    const { hop } = lot;
    const paid = { price_per_kg, package_g };
    const document = given({ hop, form, stage, grams, ...paid, analysis, storage });
    rows.push({ document, addition: { lot, stage, grams }, isFixed: false });
  });
  const keys = stagesOf(brief.stages).map(({ key }) => key);
  const place = (row: { document: Addition }) => keys.indexOf(row.document.stage);
  rows.sort((a, b) => place(a) - place(b) || b.document.grams - a.document.grams);
  return {
    documents: rows.map((r) => r.document),
    lots: rows.map((r) => r.addition),
    chosen: rows.filter((r) => !r.isFixed).map((r) => r.addition),
  };
}

/** The additions of a blend of the search, as snapshots show them. */
export function blendAdditions(problem: BlendProblem, brief: Brief, doses: Doses): BlendAddition[] {
  const { documents } = additionsOf(problem, brief, doses);
  return documents.map(({ hop, form, stage, grams }) => ({ hop, form, stage, grams }));
}

/**
 * Predicts a blend with the engine and lists every wish and limit it misses, with the distance; a few milliseconds
 * at a time.
 */
export function checking(
  model: Model,
  brief: Brief,
  problem: BlendProblem,
  doses: Doses,
  band?: Sampling,
): Resting<Checked> {
  return checkingAdditions(model, brief, additionsOf(problem, brief, doses), band);
}

/** The same of additions that nobody searched for. */
export function* checkingAdditions(
  model: Model,
  brief: Brief,
  additions: BlendAdditions,
  band?: Sampling,
): Resting<Checked> {
  const { name, batch, stages } = brief;
  const { documents, lots } = additions;
  const design: Design = { name, batch, stages, additions: lots };
  const prediction = yield* predicting(model, design, band);
  const { totals, totals_band, compounds, axes, warnings, creep, shelf, purchases } = prediction;
  const { broken, ...missed } = judged(model, brief, additions, { totals, axes });
  const chance = yield* chancing(model, brief, design, band);
  return {
    blend: {
      additions: documents,
      totals,
      totals_band,
      compounds,
      axes,
      warnings,
      creep,
      shelf,
      ...chance,
      ...missed,
      ...(purchases && { purchases }),
    },
    broken,
  };
}

/** The same at the defaults alone, without bands. @param rounding relative miss that is none. */
export function checkedPoint(
  model: Model,
  brief: Brief,
  additions: BlendAdditions,
  rounding = CHECK_TOLERANCE,
): PointBlend {
  const { name, batch, stages } = brief;
  const design: Design = { name, batch, stages, additions: additions.lots };
  const point = predictPoint(model, design);
  const totals = totalsOf(design, point);
  const axes = Object.fromEntries(
    AXES.map((axis, i) => {
      return [axis, { intensity: point.intensities[i]!, signal: point.signals[i]! }];
    }),
  ) as PointBlend['axes'];
  const compounds = Object.fromEntries(
    COMPOUNDS.map((compound, i) => {
      return [compound, { ug_per_l: point.compounds[i]!, oav: point.oavs[i]! }];
    }),
  ) as PointBlend['compounds'];
  const { broken: _, ...missed } = judged(model, brief, additions, { totals, axes }, rounding);
  return { additions: additions.documents, totals, compounds, axes, ...missed };
}

/** What a predicted blend misses. */
interface Judgement extends Pick<Blend, 'worst_miss' | 'distance' | 'misses'> {
  /** As in `Checked`. */
  readonly broken: readonly Miss[];
}

/** Lists every wish and limit that predicted figures miss. @param rounding relative miss that is none. */
export function judged(
  model: Model,
  brief: Brief,
  additions: BlendAdditions,
  { totals, axes }: Pick<PointBlend, 'totals' | 'axes'>,
  rounding = CHECK_TOLERANCE,
): Judgement {
  const values = defaultValues(model);
  const wishes: Miss[] = [];
  let worst = 0;
  let distance = 0;
  for (const axis of AXES) {
    const wish = brief.target[axis];
    if (!wish) continue;
    const aim = aimOf(wish);
    distance = Math.max(distance, aim.low - axes[axis].intensity, axes[axis].intensity - aim.high);
    const { low, high } = windowOf(wish);
    const { intensity, signal } = axes[axis];
    // Compared as signals, where rounding is relative.
    const window = signalsOf({ low, high }, values);
    const tooLittle = signal < window.low * (1 - rounding);
    if (!tooLittle && signal <= window.high * (1 + rounding) + 1e-12) continue;
    const by = Math.max(low - intensityOf(signal, values), intensity - high);
    wishes.push({ wish: wishPath({ kind: 'axis', axis }), asked: wish, got: intensity, by });
    worst = Math.max(worst, by);
  }
  const { lots, chosen } = additions;
  const { bitterness, broken } = limitMisses({ model, brief, totals, lots, chosen, rounding });
  for (const { by } of bitterness) worst = Math.max(worst, by / IBU_PER_INTENSITY);
  return {
    worst_miss: worst,
    ...(brief.minimise === 'closest' && { distance }),
    misses: [...wishes, ...bitterness, ...broken],
    broken,
  };
}
