// The draws behind the bands: inside their range, centred on the default, repeatable from a seed,
// independent of each other unless said otherwise, and never more oil than there is.
import fc from 'fast-check';
import { mean, median, sampleCorrelation } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { OIL_COMPOUNDS, analyteOf, type AnalyteId, type OilAnalyteId } from '#shared/ids.ts';
import { lotOf, type Lot, type LotSpec } from '#engine/lot/composition.ts';
import { correlationWithOil, drawLot, figureValues, lotNames } from '#engine/doubt/lot-sampling.ts';
import { SH3_BY_CLASS } from '#engine/lot/figures.ts';
import { drawnWorld } from '#engine/doubt/bands.ts';
import { model } from '#engine/tables/model.ts';
import { oilShares } from '../support/numbers.ts';
import { normalScores, parameterAt, parameterDraws, scienceOf } from '#engine/doubt/sampling.ts';

const SAMPLING = { samples: 2000, seed: 3 };

const rangeArb = fc
  .tuple(
    fc.constantFrom(0, 0.001, 0.5, 7),
    fc.double({ min: 0.01, max: 10, noNaN: true }),
    fc.double({ min: 0, max: 10, noNaN: true }),
  )
  .map(([low, down, up]) => ({ low, central: low + down, high: low + down + up }));

const SKEWED = [
  { low: 90, central: 300, high: 500 },
  { low: 0, central: 0.02, high: 0.06 },
  { low: 0.35, central: 0.65, high: 1.3 },
  { low: 1, central: 1, high: 4 },
];

function lot(spec: Partial<LotSpec> = {}): Lot {
  const outcome = lotOf(model, { hop: 'Cascade', form: 'pellet_90', ...spec });
  if (!outcome.ok) throw new Error(outcome.problems[0]!.message);
  return outcome.value;
}

/** All draws of one figure of a lot. */
function drawsOf(
  of: Lot,
  analyte: AnalyteId | typeof SH3_BY_CLASS,
  name = 'x',
  sampling = SAMPLING,
): number[] {
  return [...drawLot(model, of, name, sampling).get(analyte)!];
}

describe('draws', () => {
  it('of a parameter stay inside its range, and rise with the probability', () => {
    fc.assert(
      fc.property(rangeArb, (range) => {
        const draws = Array.from({ length: 101 }, (_, i) => parameterAt(range, (i + 0.5) / 101));
        expect(Math.min(...draws)).toBeGreaterThanOrEqual(range.low * (1 - 1e-12));
        expect(Math.max(...draws)).toBeLessThanOrEqual(range.high * (1 + 1e-12));
        draws.slice(1).forEach((d, i) => expect(d).toBeGreaterThanOrEqual(draws[i]!));
      }),
    );
  });

  it('of a parameter and of a figure have the central value as median, however skewed the range', () => {
    const scores = normalScores('a', SAMPLING);
    for (const range of SKEWED) {
      const parameters = [...parameterDraws('a', range, SAMPLING)];
      expect(median(parameters) / range.central).toBeCloseTo(1, 2);
      expect(median([...figureValues(range, scores)]) / range.central).toBeCloseTo(1, 2);
    }
  });

  it('of a figure have low and high as their 5 and 95 % points and are never negative', () => {
    const scores = normalScores('b', SAMPLING);
    const range = { low: 0.5, central: 1, high: 3 };
    const draws = [...figureValues(range, scores)];
    expect(draws.filter((d) => d < range.low).length / draws.length).toBeCloseTo(0.05, 2);
    expect(draws.filter((d) => d > range.high).length / draws.length).toBeCloseTo(0.05, 2);
    const fromZero = figureValues({ low: 0, central: 0.2, high: 1 }, scores);
    expect(Math.min(...fromZero)).toBe(0);
  });

  it('repeat to the digit from a seed and change with it', () => {
    const { parameters } = scienceOf(model, { samples: 50, seed: 8 });
    const again = scienceOf({ ...model }, { samples: 50, seed: 8 });
    const other = scienceOf({ ...model }, { samples: 50, seed: 9 });
    expect(again.parameters).toEqual(parameters);
    expect(other.parameters).not.toEqual(parameters);
    expect(drawsOf(lot(), 'alpha_pct')).toEqual(drawsOf(lot(), 'alpha_pct'));
  });

  it('of different unknowns do not go together', () => {
    const names = Array.from({ length: 40 }, (_, i) => `unknown ${i}`);
    const scores = names.map((n) => [...normalScores(n, { samples: 1000, seed: 20 })]);
    const pairs = scores.flatMap((a, i) => scores.slice(i + 1).map((b) => sampleCorrelation(a, b)));
    // 780 pairs of 1000 independent draws: standard error 0.032, none beyond 5 of them.
    expect(Math.max(...pairs.map(Math.abs))).toBeLessThan(0.16);
    expect(Math.abs(mean(pairs))).toBeLessThan(0.005);
    expect(mean(pairs.map((r) => r * r))).toBeCloseTo(1 / 999, 3);
  });
});

describe('a lot', () => {
  it('varies through its total oil as far as the table says', () => {
    const normal = { low: 1, central: 2, high: 4 };
    const figure = { ...normal, status: 'seen', sources: ['X'], perProduct: false } as const;
    const analytes: AnalyteId[] = ['alpha_pct', 'myrcene_pct_of_oil', 'linalool_pct_of_oil'];
    const made: Lot = {
      ...lot(),
      figures: Object.fromEntries(
        ['total_oil_ml_per_100g' as const, ...analytes].map((a) => [a, figure]),
      ),
    };
    const logs = (a: AnalyteId) => drawsOf(made, a).map(Math.log);
    for (const analyte of analytes) {
      const r = sampleCorrelation(logs('total_oil_ml_per_100g'), logs(analyte));
      expect(r).toBeCloseTo(correlationWithOil(model, analyte), 1);
      expect(r).not.toBeCloseTo(0, 1);
    }
  });

  it('never holds more parts of oil than oil', () => {
    for (const spec of [
      { hop: 'Cascade' },
      { hop: 'Simcoe', analysis: { myrcene_pct_of_oil: 88 } },
      { hop: 'Citra', analysis: { myrcene_pct_of_oil: 70, humulene_pct_of_oil: 29 } },
    ]) {
      const of = lot(spec);
      const drawn = new Map([[of, drawLot(model, of, 'x', SAMPLING)]]);
      const shares = oilShares(of, drawnWorld(SAMPLING.samples, null, drawn));
      for (let k = 0; k < SAMPLING.samples; k += 1) {
        const sum = shares.reduce((s, p) => s + (Number.isNaN(p[k]!) ? 0 : p[k]!), 0);
        expect(sum).toBeLessThanOrEqual(100 + 1e-9);
      }
    }
  });

  it('that was analysed keeps its own figures where the table has to give way', () => {
    const [own, table, other] = OIL_COMPOUNDS.slice(0, 3).map(analyteOf) as OilAnalyteId[];
    const figure = (central: number, perProduct: boolean) =>
      ({
        low: central,
        central,
        high: central,
        status: 'seen',
        sources: ['X'],
        perProduct,
      }) as const;
    const made = (parts: Lot['figures']): Lot => ({
      ...lot(),
      figures: { total_oil_ml_per_100g: figure(1, false), ...parts },
    });
    const shares = (of: Lot) => oilShares(of).map(([share]) => share!);
    const one = { [own!]: figure(80, true), [table!]: figure(30, false) };
    const [a, b, c] = shares(made({ ...one, [other!]: figure(10, false) }));
    expect(a).toBeCloseTo(80, 10);
    expect(b).toBeCloseTo(15, 10);
    expect(c).toBeCloseTo(5, 10);
    const two = { [own!]: figure(90, true), [table!]: figure(60, true) };
    const [d, e, f] = shares(made({ ...two, [other!]: figure(10, false) }));
    expect(d).toBeCloseTo(60, 10);
    expect(e).toBeCloseTo(40, 10);
    expect(f).toBe(0);
  });

  it('errs in its own analysis figure by figure, and less than a lot nobody analysed', () => {
    const own = lot({ analysis: { total_oil_ml_per_100g: 1.2, alpha_pct: 6 } });
    const oil = drawsOf(own, 'total_oil_ml_per_100g');
    const alpha = drawsOf(own, 'alpha_pct');
    expect(Math.abs(sampleCorrelation(oil, alpha))).toBeLessThan(0.1);
    const spread = (d: number[]) => Math.log(Math.max(...d) / Math.min(...d));
    expect(spread(oil)).toBeLessThan(spread(drawsOf(lot(), 'total_oil_ml_per_100g')) / 1.5);
  });

  it('draws bound 3SH for itself where only the class is known', () => {
    const a = drawsOf(lot(), SH3_BY_CLASS, 'a');
    const b = drawsOf(lot({ hop: 'Saaz' }), SH3_BY_CLASS, 'b');
    expect(Math.abs(sampleCorrelation(a, b))).toBeLessThan(0.1);
    const { low, central, high } = model.parameters[`precursor.g_sh3.${lot().tendency}`];
    expect(median(a) / central).toBeCloseTo(1, 2);
    expect(Math.min(...a)).toBeGreaterThanOrEqual(low);
    expect(Math.max(...a)).toBeLessThanOrEqual(high);
  });

  it('is another one for each lot of a variety, in whatever company', () => {
    const first = lot();
    const second = lot({ analysis: { alpha_pct: 7 } });
    const names = lotNames([first, second, first]);
    expect(names.size).toBe(2);
    expect(names.get(first)).not.toBe(names.get(second));
    expect(lotNames([lot({ hop: 'Saaz' }), first]).get(first)).toBe(names.get(first));
    const oil = (l: Lot) => drawsOf(l, 'total_oil_ml_per_100g', names.get(l));
    expect(Math.abs(sampleCorrelation(oil(first), oil(second)))).toBeLessThan(0.1);
  });
});
