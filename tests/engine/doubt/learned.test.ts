// A model with learned figures: nothing learned changes nothing, what was learned moves rows and draws
// alike, and draws covary as the directions say.
import { describe, expect, it } from 'vitest';
import type { Learned, LearnedFigure } from '#shared/schemas/learned.ts';
import { bandOf, sampleDesign } from '#engine/doubt/bands.ts';
import { learnedModel, sharedUnknowns } from '#engine/doubt/learned.ts';
import { parameterAt, scienceOf } from '#engine/doubt/sampling.ts';
import { figureAt } from '#engine/doubt/scores.ts';
import { designOf } from '#engine/predict/design.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { model, modelFor } from '#engine/tables/model.ts';
import { AXES } from '#shared/ids.ts';
import { scheduleOf } from '../support/examples.ts';

const SAMPLING = { samples: 2000, seed: 5 };
const learnedOf = (parameters: Record<string, LearnedFigure>): Learned => ({
  version: 1,
  made: '2026-01-01T00:00:00Z',
  from: ['a'],
  parameters,
  tasters: {},
});
const figure = (score: number, joint: number[]): LearnedFigure => ({
  factor: 1,
  sd_log: 0.1,
  score,
  joint,
});
const GAIN = 'parameter/aroma.gain.citrus';
const LINALOOL = 'threshold/linalool';
const TWO = learnedOf({ [GAIN]: figure(0.8, [0.6, 0]), [LINALOOL]: figure(-0.5, [0.5, 0.4]) });
const SCHEDULE = scheduleOf([
  { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 },
  { hop: 'Saaz', form: 'pellet_90', stage: 'dry_hop', grams: 40 },
]);
const design = (of = model) => {
  const outcome = designOf(of, SCHEDULE);
  if (!outcome.ok) throw new Error('a sound schedule');
  return outcome.value;
};

describe('a learned model', () => {
  it('of nothing is the model itself', () => {
    expect(learnedModel(model, null)).toBe(model);
    const empty = learnedModel(model, learnedOf({}));
    expect(predictPoint(empty, design(empty))).toEqual(predictPoint(model, design()));
    expect(sampleDesign(empty, design(empty), SAMPLING)).toEqual(
      sampleDesign(model, design(), SAMPLING),
    );
  });

  it('is one and the same for the same learning', () => {
    expect(learnedModel(model, structuredClone(TWO))).toBe(learnedModel(model, TWO));
  });

  it('moves the rows that point, search and chance read', () => {
    const learned = learnedModel(model, TWO);
    const { range } = sharedUnknowns(model).get(GAIN)!;
    expect(learned.parameters['aroma.gain.citrus'].central).toBeCloseTo(figureAt(range, 0.8), 12);
    expect(learned.parameters['aroma.gain.floral']).toBe(model.parameters['aroma.gain.floral']);
    const citrus = AXES.indexOf('citrus');
    expect(predictPoint(learned, design(learned)).intensities[citrus]).toBeGreaterThan(
      predictPoint(model, design()).intensities[citrus]!,
    );
  });

  it('draws what was learned jointly, and the rest to the digit as before', () => {
    const learned = learnedModel(model, TWO);
    const before = scienceOf(model, SAMPLING);
    const after = scienceOf(learned, SAMPLING);
    expect(after.parameters['aroma.gain.floral']).toEqual(before.parameters['aroma.gain.floral']);
    expect(after.thresholds.geraniol).toEqual(before.thresholds.geraniol);
    // Scores back from the figures, by the published ranges: mean, variance and covariance as told.
    const unknowns = sharedUnknowns(model);
    const scoresOf = (id: string, draws: Float64Array) => {
      const { range } = unknowns.get(id)!;
      return draws.map((value) => {
        let [low, high] = [-8, 8];
        for (let i = 0; i < 60; i += 1) {
          const middle = (low + high) / 2;
          if (figureAt(range, middle) < value) low = middle;
          else high = middle;
        }
        return low;
      });
    };
    const a = scoresOf(GAIN, after.parameters['aroma.gain.citrus'] as Float64Array);
    const b = scoresOf(LINALOOL, after.thresholds.linalool!);
    const mean = (x: Float64Array) => x.reduce((s, v) => s + v, 0) / x.length;
    const common = (x: Float64Array, y: Float64Array) =>
      x.reduce((s, v, k) => s + (v - mean(x)) * (y[k]! - mean(y)), 0) / x.length;
    expect(mean(a)).toBeCloseTo(0.8, 1);
    expect(mean(b)).toBeCloseTo(-0.5, 1);
    expect(common(a, a)).toBeCloseTo(1 - 0.36, 1);
    expect(common(b, b)).toBeCloseTo(1 - 0.25 - 0.16, 1);
    expect(common(a, b)).toBeCloseTo(-0.3, 1);
    // The row, read as a published one, has the 10 and 90 % points of the draws.
    const row = learned.parameters['aroma.gain.citrus'];
    const band = bandOf(after.parameters['aroma.gain.citrus'] as Float64Array);
    expect(parameterAt(row, 0.1) / band.low).toBeCloseTo(1, 1);
    expect(parameterAt(row, 0.9) / band.high).toBeCloseTo(1, 1);
  });

  it('does not count under another judging than it was learned of', () => {
    const learned = learnedModel(model, TWO);
    expect(modelFor(learned, {})).toBe(learned);
    expect(modelFor(learned, { compounds_only: true })).toBe(
      modelFor(model, { compounds_only: true }),
    );
    expect(modelFor(learned, { thresholds: 'low' as never })).toBe(
      modelFor(model, { thresholds: 'low' as never }),
    );
  });
});
