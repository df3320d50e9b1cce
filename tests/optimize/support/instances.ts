// Random but repeatable briefs over invented lots. The wishes are cut around a hidden blend, so that
// most briefs can be met; how tightly, how many hops and which limits apply is drawn as well.
import type { Blend } from '#shared/answers/answer.ts';
import { AXES, FORMS, OIL_COMPOUNDS, type AxisId, type FormId } from '#shared/ids.ts';
import { type StageKind } from '#shared/stages/kinds.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Addition, Analysis, Candidate } from '#shared/schemas/lot.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { designOf } from '#engine/predict/design.ts';
import { defaultValues, model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { randomFrom, type Random } from '#engine/doubt/sampling.ts';
import { LEAST_LEAF } from '#optimize/problem/objectives.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';

export interface Shape {
  readonly hops: number;
  readonly forms: number;
  readonly stages: readonly StageKind[];
  readonly wishes: number;
  readonly beerL: number;
  readonly hopsAtMost?: number;
  readonly smallest?: number;
  readonly step?: number;
  readonly ibu?: boolean;
  readonly stock?: boolean;
  readonly minimise?: Brief['minimise'];
  /** Lots of the hidden blend; 2 to 4 where absent. */
  readonly hidden?: number;
  /** Doses of the hidden blend, g/L, at least and at most; 0.5 to 4 where absent. */
  readonly dosed?: readonly [number, number];
  /** Lots of each hop and form, their analyses up to a fifth apart; 1 where absent. */
  readonly lotsPerHop?: number;
  /** Intensities between wish and hidden blend, at least and at most. */
  readonly room?: readonly [number, number];
}

export const STAGES = {
  mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
  boil: { minutes: 10 },
  hot_steep: { temp_c: 82, minutes: 20, closed: false },
  dry_hop: { temp_c: 16, hours: 72, mixed: false, live_yeast: false },
} as const;

/** Uniform between two numbers. */
export function between(random: Random, low: number, high: number): number {
  return low + (high - low) * random.uniform();
}

/** Most the named parts of an oil are drawn to add up to, % of oil. */
const NAMED_PARTS_PCT = 96;

/** The analysis with the parts of its oil scaled down where they add up to more than may be. */
function whole(analysis: Analysis): Analysis {
  const parts = OIL_COMPOUNDS.map((c) => `${c}_pct_of_oil` as const);
  const sum = parts.reduce((all, part) => all + (analysis[part] ?? 0), 0);
  if (sum <= NAMED_PARTS_PCT) return analysis;
  const scaled = parts.flatMap((part) =>
    analysis[part] === undefined ? [] : [[part, (analysis[part] * NAMED_PARTS_PCT) / sum]],
  );
  return { ...analysis, ...Object.fromEntries(scaled) };
}

/** An analysis as a hop might have it, every driver drawn. */
export function randomAnalysis(random: Random): Analysis {
  return whole({
    alpha_pct: between(random, 3, 16),
    total_oil_ml_per_100g: between(random, 0.6, 3),
    myrcene_pct_of_oil: between(random, 15, 65),
    limonene_pct_of_oil: between(random, 0, 1.5),
    beta_pinene_pct_of_oil: between(random, 0.2, 1),
    humulene_pct_of_oil: between(random, 2, 35),
    caryophyllene_pct_of_oil: between(random, 3, 15),
    linalool_pct_of_oil: between(random, 0.2, 1.3),
    geraniol_pct_of_oil: between(random, 0.05, 1.2),
    citronellol_pct_of_oil: between(random, 0, 0.2),
    branched_isobutyrates_pct_of_oil: between(random, 0, 3),
    undecanone_2_pct_of_oil: between(random, 0, 1),
    sh3_ug_per_kg: between(random, 0, 60),
    sha3_ug_per_kg: between(random, 0, 10),
    msp4_ug_per_kg: between(random, 0, 30),
    s3mp4_ug_per_kg: between(random, 0, 40),
    g_sh3_mg_per_kg: between(random, 1, 40),
  });
}

/** The same hop from another field or year: every figure up to a fifth off. */
function anotherLot(random: Random, analysis: Analysis): Analysis {
  const figures = Object.entries(analysis).map(([analyte, figure]) => [
    analyte,
    typeof figure === 'number' ? figure * between(random, 0.8, 1.2) : figure,
  ]);
  return whole(Object.fromEntries(figures) as Analysis);
}

export function randomLots(
  random: Random,
  { hops, forms, stock, lotsPerHop = 1 }: Shape,
): Candidate[] {
  const analyses = Array.from({ length: hops }, (_, i) => ({
    hop: `Invented ${i + 1}`,
    analysis: randomAnalysis(random),
  }));
  const lots = analyses.flatMap(({ hop, analysis }) =>
    Array.from({ length: lotsPerHop }, (_, l) => ({
      hop,
      analysis: l === 0 ? analysis : anotherLot(random, analysis),
    })),
  );
  return lots.flatMap((lot) =>
    FORMS.slice(0, forms).map((form: FormId): Candidate => ({
      ...lot,
      form,
      price_per_kg: between(random, 15, 80),
      ...(stock ? { grams_on_hand: Math.round(between(random, 5, 120)) } : {}),
    })),
  );
}

/** Intensities of a blend by the engine. */
function intensities(
  brief: Brief,
  additions: Addition[],
): { of: Record<AxisId, number>; ibu: number } {
  const { name, batch, stages } = brief;
  const design = designOf(model, { name, batch, stages, additions });
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  const point = predictPoint(model, design.value);
  const values = defaultValues(model);
  const of = Object.fromEntries(
    AXES.map((axis, i) => [axis, intensityOf(point.signals[i]!, values)]),
  ) as Record<AxisId, number>;
  return { of, ibu: point.totals.ibu };
}

/** Wishes around a hidden blend of a few lots; also its bitterness. */
export function wishesAround(
  brief: Brief,
  lots: readonly Candidate[],
  shape: Shape,
  random: Random,
): Pick<Brief, 'target'> & { ibu: number } {
  const count = shape.hidden ?? 2 + Math.floor(random.uniform() * 3);
  const [narrow, wide] = shape.room ?? [0.05, 0.5];
  const [light, heavy] = shape.dosed ?? [0.5, 4];
  const hidden: Addition[] = Array.from({ length: count }, () => {
    const { hop, form, analysis } = lots[Math.floor(random.uniform() * lots.length)]!;
    const stage = shape.stages[Math.floor(random.uniform() * shape.stages.length)]!;
    return { hop, form, stage, grams: between(random, light, heavy) * shape.beerL, analysis };
  });
  const { of, ibu } = intensities(brief, hidden);
  const target: Brief['target'] = {};
  const axes = AXES.filter((a) => of[a] > 0.7).sort(() => random.uniform() - 0.5);
  axes.slice(0, shape.wishes).forEach((axis, i) => {
    const at = Math.min(9, of[axis]);
    const kind = i === 0 ? 1 : Math.floor(random.uniform() * 3);
    const room = between(random, narrow, wide);
    if (kind === 0) target[axis] = { aim: at, within: room };
    else if (kind === 1) target[axis] = { at_least: Math.max(0, at - room) };
    else target[axis] = { at_most: at + room };
  });
  return { target, ibu };
}

export function randomBrief(seed: number, shape: Shape): Brief {
  const random = randomFrom(seed / 1e6);
  for (let i = 0; i < 5; i += 1) random.uniform();
  const lots = randomLots(random, shape);
  const yeast = random.uniform() < 0.5 ? 'standard' : 'thiol_releasing';
  const plain: Brief = briefSchema.parse({
    name: `instance ${seed}`,
    batch: { beer_l: shape.beerL, yeast, malt_g_per_l: 200 },
    stages: Object.fromEntries(shape.stages.map((s) => [s, STAGES[s]])),
    target: {},
    minimise: shape.minimise ?? 'weight',
    candidates: lots,
  });
  const { target, ibu } = wishesAround(plain, lots, shape, random);
  return briefSchema.parse({
    ...plain,
    target,
    limits: {
      ...(shape.hopsAtMost === undefined ? {} : { hops_at_most: shape.hopsAtMost }),
      ...(shape.smallest === undefined ? {} : { smallest_addition_g: shape.smallest }),
      ...(shape.step === undefined ? {} : { weigh_step_g: shape.step }),
      ...(shape.ibu ? { ibu_at_most: Math.min(999, ibu * between(random, 0.75, 1.2)) } : {}),
      ...(shape.ibu && random.uniform() < 0.5 ? { ibu_at_least: ibu * 0.5 } : {}),
    },
  });
}

/** The problem of a brief known to be sound. */
export function soundProblem(brief: Brief): BlendProblem {
  const outcome = problemOf(model, brief);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

/**
 * What a brief minimises, from what the engine predicts of a blend; kept mash hops count no leaf,
 * chosen ones a little, and so do those of the boil.
 */
export function objectiveOf({ minimise, batch, keep = [] }: Brief, blend: Blend): number {
  const { totals, additions } = blend;
  if (minimise === 'weight') return totals.hop_g;
  if (minimise === 'closest') return blend.distance!;
  if (minimise === 'cost') return totals.cost!;
  const leafless = (list: readonly Addition[]) =>
    list.reduce((sum, a) => sum + (['mash', 'boil'].includes(a.stage) ? a.grams : 0), 0);
  return totals.leaf_g_per_l * batch.beer_l + LEAST_LEAF * (leafless(additions) - leafless(keep));
}
