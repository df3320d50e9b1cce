// How missing figures are estimated: chosen by the error of leaving out, with a range that holds,
// and never from an estimate or from one plant twice.
import { describe, expect, it } from 'vitest';
import estimatorRows from '#data/generated/estimators.json' with { type: 'json' };
import errorRows from '#data/generated/estimate-errors.json' with { type: 'json' };
import type { Cells } from '#shared/tables/cells.ts';
import { givenOf, witnesses, type Witness } from '#data/build/estimate-evidence.ts';
import { LEARN, METHODS } from '#data/build/estimate-methods.ts';
import { coverage, leftOut, rangeFactors, typicalError } from '#data/build/leave-one-out.ts';
import { model } from '#engine/tables/model.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { PREDICTORS, type Estimator } from '#shared/evidence/estimate.ts';
import type { EstimateError } from '#shared/evidence/estimate-error.ts';
import type { AnalyteId } from '#shared/ids.ts';
import { built, hopNamed } from './inputs.ts';

const errors = errorRows as EstimateError[];
const judged = errors.filter(({ medianFold }) => medianFold !== null);
const estimators = estimatorRows as Estimator[];
/** The table as it stands, estimates and all. */
const filled = new Map<string, Cells>(built.hops.map(({ name, cells }) => [name, cells]));
const given = new Map<string, Cells>(
  built.hops.map(({ name, cells }) => [
    name,
    Object.fromEntries(Object.entries(cells).filter(([, { status }]) => status !== 'estimated')),
  ]),
);

describe('the errors reported', () => {
  it('say of every estimated figure how far off it is, or that too few are known to tell', () => {
    const analytes = new Set(estimators.map(({ analyte }) => analyte));
    expect(new Set(errors.map(({ analyte }) => analyte))).toEqual(analytes);
    expect(judged.map(({ analyte }) => analyte).sort()).toEqual(
      ['caryophyllene', 'farnesene', 'geraniol', 'humulene', 'linalool', 'myrcene'].map(
        (compound) => `${compound}_pct_of_oil`,
      ),
    );
    for (const { medianFold, note } of errors) expect(medianFold === null).toBe(note !== '');
  });

  it.each(['sh3', 'sha3', 'msp4', 's3mp4'])(
    'free %s keeps its stated range: too few are known',
    (id) => {
      const error = errors.find(({ analyte }) => analyte === `${id}_ug_per_kg`)!;
      expect(error).toMatchObject({ method: 'stated', medianFold: null });
      expect(error.n).toBeLessThan(30);
      expect(error.note).toMatch(/^too few to judge/);
    },
  );

  it.each(judged)(
    '$analyte: the way chosen is the nearest, and the range holds 85-97 %',
    (error) => {
      const { method, compared, coverage90 } = error;
      const chosen = compared.find((one) => one.method === method)!;
      expect(compared.map((one) => one.method)).toEqual(METHODS);
      for (const other of compared) {
        // neighbours would have to be clearly better, by a tenth
        const margin = other.method === 'neighbours' ? 0.9 : 1;
        expect(typicalError(other)).toBeGreaterThanOrEqual(margin * typicalError(chosen));
      }
      expect(coverage90).toBeGreaterThanOrEqual(0.85);
      expect(coverage90).toBeLessThanOrEqual(0.97);
    },
  );

  // Before, a gap was the median of the varieties that were read.
  it.each(judged)(
    '$analyte: nearer than the median of those that were read',
    ({ method, compared }) => {
      const [before] = compared;
      expect(before?.method).toBe('pooled_read');
      const now = compared.find((one) => one.method === method)!;
      expect(typicalError(now)).toBeLessThan(typicalError(before!));
    },
  );

  it.each(judged)('$analyte: the range also holds with two figures missing', ({ analyte }) => {
    const from = witnesses(analyte, given);
    const { low, high } = rangeFactors(leftOut('regression', from));
    let [inside, all] = [0, 0];
    for (const witness of from) {
      const guess = LEARN.regression(from.filter((other) => other !== witness))!;
      PREDICTORS.forEach((a, i) => {
        for (const b of PREDICTORS.slice(i + 1)) {
          const { [a]: _a, [b]: _b, ...rest } = witness.given;
          const log = guess(rest);
          all += 1;
          if (log + Math.log(low) <= witness.target && witness.target <= log + Math.log(high)) {
            inside += 1;
          }
        }
      });
    }
    expect(inside / all).toBeGreaterThanOrEqual(0.85);
    expect(inside / all).toBeLessThanOrEqual(0.97);
  });
});

describe('leaving out', () => {
  const analyte: AnalyteId = 'linalool_pct_of_oil';
  const from = witnesses(analyte, given);

  it('does not let a variety speak for itself', () => {
    const moved: Witness = { ...from[3]!, target: from[3]!.target + 2 };
    const others = from.map((witness, i) => (i === 3 ? moved : witness));
    for (const method of METHODS) {
      expect(leftOut(method, others)[3]).toBeCloseTo(leftOut(method, from)[3]! - 2, 10);
    }
  });

  it('hears no estimate, and each plant once', () => {
    for (const { analyte: each } of judged) {
      expect(witnesses(each, filled)).toEqual(witnesses(each, given));
      const names = witnesses(each, given).map(({ name }) => name);
      const fuggles = ['Fuggle', 'Styrian Golding', 'Tettnanger (US clone)'];
      expect(names.filter((name) => fuggles.includes(name))).toHaveLength(1);
    }
  });

  it('hears a copied row once', () => {
    const citra = given.get('Citra')!;
    const copied = new Map([...given, ['Copy of Citra', { ...citra }]]);
    expect(witnesses(analyte, copied)).toHaveLength(from.length);
    const altered = { ...citra, alpha_pct: { ...citra.alpha_pct!, central: 9.9 } };
    expect(witnesses(analyte, new Map([...given, ['Cousin', altered]]))).toHaveLength(
      from.length + 1,
    );
  });

  it('takes no figure for a predictor of itself', () => {
    expect(givenOf(given.get('Citra')!, 'myrcene_pct_of_oil')).not.toHaveProperty(
      'myrcene_pct_of_oil',
    );
  });
});

describe('the range of an estimate', () => {
  it('leaves out one in twenty on either side, the estimated hop counted in', () => {
    // truths e^-19 ... e^19 around the estimate; 39 of them: the second from either end
    const { low, high } = rangeFactors(Array.from({ length: 39 }, (_, i) => i - 19));
    expect(Math.log(low)).toBeCloseTo(-18, 12);
    expect(Math.log(high)).toBeCloseTo(18, 12);
  });

  it('covers as much of what it has not seen', () => {
    const ranks = Array.from({ length: 99 }, (_, i) => i - 49);
    expect(coverage(ranks)).toBeCloseTo(0.9, 1);
  });
});

describe('an estimated cell', () => {
  it("Brewer's Gold linalool: the typical figure, moved by each given figure as the row says", () => {
    const { central, low, high, leanings } = estimators.find(({ id }) => id === 'linalool')!;
    const { cells } = hopNamed("Brewer's Gold");
    const factor = leanings!.reduce((product, { on, reference, power }) => {
      expect(cells[on]?.status, on).not.toBe('estimated');
      return product * (Math.max(cells[on]!.central, 0.05) / reference) ** power;
    }, 1);
    const cell = cells.linalool_pct_of_oil!;
    expect(cell).toMatchObject({ status: 'estimated', estimate: 'linalool' });
    expect(cell.central).toBeCloseTo(central * factor, 3);
    expect(cell.low).toBeCloseTo(low * factor, 3);
    expect(cell.high).toBeCloseTo(high * factor, 3);
  });

  it('of a deciding figure is not made of next to nothing', () => {
    for (const hop of built.hops) {
      for (const analyte of ['myrcene', 'humulene', 'linalool', 'geraniol'] as const) {
        const cell = hop.cells[`${analyte}_pct_of_oil`];
        if (cell?.status !== 'estimated') continue;
        const known = PREDICTORS.filter((p) => hop.cells[p] && hop.cells[p].status !== 'estimated');
        expect(known.length, `${hop.name} ${analyte}`).toBeGreaterThanOrEqual(4);
        expect(hop.missing).toContain(`${analyte}_pct_of_oil`);
      }
    }
  });

  it('is the same for an unknown lot with the same figures, also of an enriched product', () => {
    const { cells } = hopNamed("Brewer's Gold");
    const analysis = Object.fromEntries(PREDICTORS.map((p) => [p, cells[p]!.central]));
    const linalool = (form: 'pellet_90' | 'pellet_enriched', figures: Record<string, number>) => {
      const lot = lotOf(model, { hop: 'Nobody knows it', form, analysis: figures });
      return lot.ok ? lot.value.figures.linalool_pct_of_oil : undefined;
    };
    const plain = linalool('pellet_90', analysis)!;
    expect(plain.central).toBeCloseTo(cells.linalool_pct_of_oil!.central, 3);
    expect(plain.status).toBe('estimated');
    const richer = model.parameters['form.pellet_enriched.concentration'].central;
    const enriched = linalool('pellet_enriched', {
      ...analysis,
      alpha_pct: analysis['alpha_pct']! * richer,
      total_oil_ml_per_100g: analysis['total_oil_ml_per_100g']! * richer,
    });
    expect(enriched?.central).toBeCloseTo(plain.central, 10);
    expect(linalool('pellet_90', { alpha_pct: 9, total_oil_ml_per_100g: 1.5 })).toBeUndefined();
  });
});
