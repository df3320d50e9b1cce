// The yardstick of a refactoring: what the engine predicts for 300 drawn schedules, at full precision,
// and what the search answers for 60 drawn briefs. The schedules and briefs are written in the oldest
// form of the documents, so that they also show that these are read as ever.
import { readFileSync, writeFileSync } from 'node:fs';
import { AXES, COMPOUNDS, FORMS, OWN_SCHOOLS, YEASTS } from '#shared/ids.ts';
import { DOUBTFUL_TOTALS } from '#shared/answers/prediction.ts';
import { scheduleSchema, briefSchema, type Brief, type Schedule } from '#shared/schemas/brief.ts';
import { predict } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { model, modelFor } from '#engine/tables/model.ts';
import { randomFrom, type Random } from '#engine/doubt/sampling.ts';
import { design } from '#optimize/questions/design.ts';
import { between, randomAnalysis, randomBrief, type Shape } from '../optimize/support/instances.ts';

export const SCHEDULES = 300;
export const BRIEFS = 60;
/** Every so many schedules the ends of the bands are kept as well. */
const BANDED = 6;

/** What is kept of a prediction: every figure in a fixed order. */
export interface KeptPrediction {
  readonly compounds: readonly number[];
  readonly signals: readonly number[];
  readonly totals: readonly number[];
  /** Low and high of the axes, then of the totals, then of the compounds. */
  readonly bands?: readonly number[];
}

/** What is kept of an answer. Wishes and limits stand beside it: they were cut by the engine of the day. */
export interface KeptAnswer {
  readonly target: Brief['target'];
  readonly limits: Brief['limits'];
  readonly status: string;
  readonly lower_bound: number | null;
  readonly additions: readonly string[];
  readonly grams: readonly number[];
}

export interface Yardstick {
  readonly predictions: readonly KeptPrediction[];
  readonly answers: readonly KeptAnswer[];
}

function one<T>(random: Random, of: readonly T[]): T {
  return of[Math.floor(random.uniform() * of.length)]!;
}
const chance = (random: Random, share: number) => random.uniform() < share;
const whole = (random: Random, low: number, high: number) => Math.round(between(random, low, high));

const STORAGES = [
  { storage_index: 0.45 },
  { months: 14, temp_c: 5, packed: 'opened' },
  { months: 8, temp_c: -2, packed: 'sealed', months_since_analysis: 3 },
] as const;

function drawnAddition(random: Random, stages: readonly string[]): unknown {
  const own = [
    { alpha_pct: 11, total_oil_ml_per_100g: 2.2, linalool_pct_of_oil: 0.9 },
    { sh3_ug_per_kg: 40, g_sh3_mg_per_kg: 12 },
    { myrcene_pct_of_oil: 88, geraniol_pct_of_oil: 2 },
    { precursor: 'high' },
    randomAnalysis(random),
  ];
  return {
    hop: one(random, model.hops).name,
    form: one(random, FORMS),
    stage: one(random, stages),
    grams: chance(random, 0.1) ? 0 : whole(random, 1, 400),
    ...(chance(random, 0.6) && { price_per_kg: whole(random, 1, 90) }),
    ...(chance(random, 0.2) && { package_g: one(random, [100, 250]) }),
    ...(chance(random, 0.4) && { analysis: one(random, own) }),
    ...(chance(random, 0.4) && { storage: one(random, STORAGES) }),
  };
}

/** The drawn schedule of that number. */
export function drawnSchedule(index: number): Schedule {
  const random = randomFrom((index + 1) / 1e3);
  for (let i = 0; i < 5; i += 1) random.uniform();
  const steep = { temp_c: whole(random, 60, 98), minutes: whole(random, 0, 60) };
  const stages = {
    ...(chance(random, 0.8) && {
      mash: { temp_c: 66, minutes: 60, boil_minutes: whole(random, 0, 90) },
    }),
    ...(chance(random, 0.8) && {
      hot_steep: {
        ...steep,
        closed: chance(random, 0.5),
        ...(chance(random, 0.4) && { cooling: { to_c: whole(random, 20, 59), minutes: 15 } }),
      },
    }),
    dry_hop: {
      temp_c: whole(random, 2, 20),
      hours: whole(random, 0, 240),
      mixed: chance(random, 0.5),
      live_yeast: chance(random, 0.5),
    },
  };
  const count = whole(random, 0, 12);
  return scheduleSchema.parse({
    name: `drawn ${index}`,
    batch: {
      beer_l: whole(random, 18, 60),
      yeast: one(random, YEASTS),
      malt_g_per_l: whole(random, 0, 300),
      ...(chance(random, 0.5) && { co2_vol: 2.5 }),
      ...(chance(random, 0.5) && { shelf_temp_c: 8 }),
    },
    stages,
    ...(chance(random, 0.3) && { thresholds: one(random, OWN_SCHOOLS) }),
    additions: Array.from({ length: count }, () => drawnAddition(random, Object.keys(stages))),
  });
}

export function predictionOf(index: number): KeptPrediction {
  const schedule = drawnSchedule(index);
  const of = modelFor(model, schedule);
  const read = designOf(of, schedule);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const banded = index % BANDED === 0;
  const sampling = banded ? { samples: 500, seed: 20 } : { samples: 20, seed: 20 };
  const { compounds, axes, totals, totals_band } = predict(of, read.value, sampling);
  const bands = [
    ...AXES.flatMap((a) => [axes[a].low, axes[a].high]),
    ...DOUBTFUL_TOTALS.flatMap((id) => [totals_band[id].low, totals_band[id].high]),
    ...COMPOUNDS.flatMap((c) => [compounds[c].low, compounds[c].high]),
  ];
  return {
    compounds: COMPOUNDS.map((c) => compounds[c].ug_per_l),
    signals: AXES.map((a) => axes[a].signal),
    totals: DOUBTFUL_TOTALS.map((id) => totals[id]),
    ...(banded && { bands }),
  };
}

const PLACES = ['mash', 'hot_steep', 'dry_hop'] as const;

function shapeOf(i: number): Shape {
  return {
    hops: [8, 15, 30, 60][i % 4]!,
    forms: 1 + (i % 2),
    stages: i % 3 === 0 ? ['dry_hop'] : i % 3 === 1 ? ['hot_steep', 'dry_hop'] : PLACES,
    wishes: 2 + (i % 4),
    beerL: 20 + 10 * (i % 3),
    hopsAtMost: 2 + (i % 3),
    smallest: 5,
    step: [1, 5][i % 2]!,
    ibu: i % 2 === 0,
    stock: i % 5 === 0,
    minimise: (['weight', 'weight', 'cost', 'leaf'] as const)[i % 4]!,
  };
}

/** The drawn brief of that number; its wishes and limits as they were first cut, where kept. */
export function drawnBrief(i: number, kept?: Pick<KeptAnswer, 'target' | 'limits'>): Brief {
  const { target, limits, ...rest } = randomBrief(8100 + i, shapeOf(i));
  return briefSchema.parse({
    ...rest,
    target: kept?.target ?? target,
    limits: kept?.limits ?? limits,
  });
}

export function yardstickAnswer(i: number, kept?: KeptAnswer): KeptAnswer {
  const brief = drawnBrief(i, kept);
  const outcome = design(model, brief, { band: { samples: 20, seed: 20 } });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  const { status, lower_bound, blends } = outcome.value;
  const { additions } = blends[0]!;
  return {
    target: brief.target,
    limits: brief.limits,
    status,
    lower_bound,
    additions: additions.map(({ hop, form, stage }) => `${hop} ${form} ${stage}`),
    grams: additions.map(({ grams }) => grams),
  };
}

const FILE = new URL('./yardstick.json', import.meta.url);

export function keptYardstick(): Yardstick {
  return JSON.parse(readFileSync(FILE, 'utf8')) as Yardstick;
}

/** Writes what engine and search say today over what is kept. */
export function refreshYardstick(): void {
  const predictions = Array.from({ length: SCHEDULES }, (_, i) => predictionOf(i));
  const answers = Array.from({ length: BRIEFS }, (_, i) => yardstickAnswer(i));
  const rows = (of: readonly unknown[]) => of.map((row) => JSON.stringify(row)).join(',\n');
  const text = `{"predictions":[\n${rows(predictions)}\n],"answers":[\n${rows(answers)}\n]}\n`;
  writeFileSync(FILE, text);
}
