// The search against an independent mixed-integer program (oracle.ts) on 200 random briefs and the
// seed briefs: same optimum to 0.1 % or one weighing step over all dry-hop loads, bounds never above
// the truth, and the same verdict on what cannot be met. Every limit there is binds in turn.
import { describe, expect, it } from 'vitest';
import { AXES, STAGES, type StageId } from '#shared/ids.ts';
import type { DesignAnswer } from '#shared/answer.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import { intensityOf } from '#engine/aroma.ts';
import type { LotAddition } from '#engine/design.ts';
import { defaultValues, model } from '#engine/model.ts';
import { defaultWorld, predictPoint } from '#engine/predict.ts';
import { design } from '#optimize/design.ts';

import { PROVEN_GAP } from '#optimize/search.ts';
import { windowOf } from '#optimize/wish-rows.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { objectiveOf, randomBrief, type Shape } from './instances.ts';
import { CHANGES, QUARTER_OUNCE, type Change } from './limiting.ts';
import { readingOf, scheduleOf, type Reading } from './oracle-reading.ts';
import { bestOverLoads } from './oracle.ts';

const BAND = { samples: 20, seed: 1 };
const MINIMISE = ['weight', 'cost', 'leaf'] as const;
const STAGE_SETS: readonly (readonly StageId[])[] = [
  ['hot_steep', 'dry_hop'],
  STAGES,
  ['dry_hop'],
  ['mash', 'dry_hop'],
  ['hot_steep'],
  ['mash', 'hot_steep'],
  ['mash'],
];

/** The answer; `null` where the hard limits alone cannot be kept. */
function designed(brief: Brief): DesignAnswer | null {
  const outcome = design(model, brief, { band: BAND });
  if (outcome.ok) return outcome.value;
  expect(outcome.problems[0]!.path).toMatch(/^limits/);
  return null;
}

/** One weighing step or 0.1 %, in the unit of the objective. */
function tolerance({ choices, step, base }: Reading, truth: number): number {
  const largest = Math.max(...choices.map((c) => c.worth));
  const cheapest = Math.min(...choices.map((c) => c.worth).filter((w) => w > largest / 100));
  return Math.max(PROVEN_GAP * (truth - base), step * cheapest) + 1e-6;
}

/** Whether the engine finds the wishes and the bitterness window met by the oracle's own blend. */
function expectMeets(brief: Brief, additions: readonly LotAddition[]): void {
  const { name, batch, stages, limits, target } = brief;
  const lots = new Set(additions.map((a) => a.lot));
  const point = predictPoint(model, { name, batch, stages, additions }, defaultWorld(model, lots));
  const { ibu } = point.totals;
  expect(ibu).toBeLessThanOrEqual((limits.ibu_at_most ?? Infinity) + 1e-4);
  expect(ibu).toBeGreaterThanOrEqual((limits.ibu_at_least ?? 0) - 1e-4);
  AXES.forEach((axis, i) => {
    if (!target[axis]) return;
    const { low, high } = windowOf(target[axis]);
    const intensity = intensityOf(point.signals[i]!, defaultValues(model));
    expect(intensity).toBeGreaterThanOrEqual(low - 1e-5);
    expect(intensity).toBeLessThanOrEqual(high + 1e-5);
  });
}

const verdicts = { met: 0, unmet: 0 };

/** The search's answer against the oracle's. */
function agrees(brief: Brief): void {
  const reading = readingOf(brief);
  const answer = designed(brief);
  const met = answer !== null && answer.status !== 'closest';
  const { blend, lower } = bestOverLoads(reading);
  verdicts[met ? 'met' : 'unmet'] += 1;
  expect(met).toBe(blend !== null);
  if (!met || !blend) return;
  expectMeets(brief, scheduleOf(reading, blend.additions));
  expect(answer.status).toBe('optimal');
  expect(answer.blends[0]!.misses).toEqual([]);
  const objective = objectiveOf(brief, answer.blends[0]!);
  const { objective: truth } = blend;
  expect(objective).toBeGreaterThanOrEqual(lower * (1 - 1e-6) - 1e-6);
  expect(objective).toBeLessThanOrEqual(truth + tolerance(reading, truth));
  expect(answer.lower_bound).toBeLessThanOrEqual(truth * (1 + 1e-6) + 1e-6);
  expect(objective - answer.lower_bound).toBeLessThanOrEqual(tolerance(reading, objective));
}

function shapeOf(seed: number, stages: readonly StageId[], step: number | undefined): Shape {
  return {
    hops: 3 + (seed % 9),
    forms: 1 + (seed % 2),
    stages,
    wishes: 2 + (seed % 5),
    beerL: 20,
    ...(seed % 4 ? { hopsAtMost: 2 + (seed % 3) } : {}),
    ...(seed % 3 === 1 ? { smallest: 8 } : {}),
    ...(step ? { step } : {}),
    ibu: seed % 2 === 0,
    stock: seed % 7 === 3,
    minimise: MINIMISE[seed % 3]!,
  };
}

/** The brief of a seed with one limit more, drawn from what is best without it. */
function limitedBrief(seed: number, change: Change): Brief {
  const stages = STAGE_SETS[seed % STAGE_SETS.length]!;
  const plain = randomBrief(seed, {
    ...shapeOf(seed, stages, [undefined, 1, 5, undefined][seed % 4]),
    hops: 4 + (seed % 5),
    ibu: seed % 5 === 0,
    stock: false,
    room: [0.15, 0.6],
  });
  const best = designed(plain);
  if (!best || best.blends[0]!.additions.length === 0) return plain;
  return briefSchema.parse({ ...plain, ...change(plain, best.blends[0]!, seed) });
}

const seeds = (from: number, count: number) => Array.from({ length: count }, (_, i) => from + i);

describe('against the whole mixed-integer program', () => {
  it.each(seeds(0, 26))('hot side only, brief %i', (seed) => {
    const step = seed % 5 < 3 ? 1 + (seed % 4) : undefined;
    agrees(randomBrief(seed, shapeOf(seed, ['mash', 'hot_steep'], step)));
  });

  it.each(seeds(800, 10))('hot side only, many hops, brief %i', (seed) => {
    const shape: Shape = {
      hops: 24,
      forms: 2,
      stages: ['mash', 'hot_steep'],
      wishes: 3 + (seed % 4),
      beerL: 20,
      hopsAtMost: 3,
      smallest: 10,
      step: 2,
      hidden: 4,
      room: [0.02, 0.1],
      minimise: seed % 2 ? 'weight' : 'cost',
    };
    agrees(randomBrief(seed, shape));
  });

  it.each(seeds(100, 24))('dry hops in whole weighing steps, brief %i', (seed) => {
    const stages = seed % 3 ? (['hot_steep', 'dry_hop'] as const) : (['mash', 'dry_hop'] as const);
    agrees(randomBrief(seed, shapeOf(seed, stages, [1, 5, QUARTER_OUNCE][seed % 3])));
  });

  it.each(seeds(200, 22))('dry hops in any dose, brief %i', (seed) => {
    agrees(randomBrief(seed, shapeOf(seed, STAGE_SETS[seed % 4]!, undefined)));
  });

  describe.each(Object.entries(CHANGES))('%s', (_, change) => {
    it.each(seeds(600, 8))('brief %i', (seed) => {
      agrees(limitedBrief(seed, change));
    });
  });

  it.each([40, 60, 80, 100, 120, 120])('a table of %i hops', (hops) => {
    agrees(
      randomBrief(900 + hops, {
        hops,
        forms: 1,
        stages: ['hot_steep', 'dry_hop'],
        wishes: 3,
        beerL: 40,
        hopsAtMost: 3,
        smallest: 10,
        step: 1,
        room: [0.2, 0.5],
      }),
    );
  });

  /** Share of the objective by which no blend of any load is better; `null`: by what may be. */
  const seedBriefs = [
    ['citrus-floral', null],
    ['near-empty-freezer', null],
    ['tropical', 0.05],
    ['resin-led', 0.2],
  ] as const;
  it.each(seedBriefs)(
    'the seed brief %s',
    (id, share) => {
      const { brief } = SEED_BRIEFS.find((s) => s.id === id)!;
      const reading = readingOf(brief);
      const answer = designed(brief)!;
      expect(answer.status).toBe('optimal');
      const [blend] = answer.blends;
      const objective = objectiveOf(brief, blend!);
      const below = objective - tolerance(reading, objective) + 1e-5;
      const far = share === null ? below : objective * (1 - share);
      expect(bestOverLoads(reading, { below: far, gap: 1e-4 }).blend).toBeNull();
    },
    300_000,
  );

  it('has met and unmet briefs to agree on', () => {
    expect(verdicts.met).toBeGreaterThan(150);
    expect(verdicts.unmet).toBeGreaterThan(5);
  });
});
