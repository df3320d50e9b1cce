// Cells worked out again by hand, from the figures as they are printed in the sources.
import { quantile } from 'simple-statistics';
import { describe, expect, it } from 'vitest';
import { FREE_RICH, thiolClass } from '#shared/tables/thiol-class.ts';
import type { AnalyteId } from '#shared/ids.ts';
import type { Cell } from '#shared/schemas/tables.ts';
import { built, hopNamed } from './inputs.ts';

const OIL_DENSITY = 0.85; // g/mL, parameters.csv oil.density

function cell(name: string, analyte: AnalyteId): Cell {
  const found = hopNamed(name).cells[analyte];
  if (found === undefined) throw new Error(`${name} has no ${analyte}`);
  return found;
}

/** Equal to four significant digits. */
function expectRange(actual: Cell, low: number, central: number, high: number) {
  const digits = (x: number) => Number(x.toPrecision(4));
  const { low: l, central: c, high: h } = actual;
  expect([l, c, h]).toEqual([low, central, high].map(digits));
}

describe('curated cells', () => {
  it('Agnus total oil: 2.0-3.0 % by weight over the density (KROFTA-2002)', () => {
    const oil = cell('Agnus', 'total_oil_ml_per_100g');
    expectRange(oil, 2.0 / OIL_DENSITY, 2.5 / OIL_DENSITY, 3.0 / OIL_DENSITY);
    expect(oil).toMatchObject({ status: 'seen', sources: ['KROFTA-2002'] });
  });

  it('Cascade alpha: four HPLC figures are one vote, the UV ones none, the manual (tier C) none', () => {
    const alpha = cell('Cascade', 'alpha_pct');
    const veraData = (4.57 + 4.33 + 6.29 + 4.61) / 4; // 4.95
    expectRange(alpha, 4.33, (veraData + 6.3) / 2, 8.9); // USDA-21092: 6.3, 5.1-8.9
    expect(alpha.sources).toEqual(['USDA-21092', 'VERA-DATA']);
  });

  it('Saaz alpha: median of five sources, ranges by their middle', () => {
    // KROFTA-2003 3-4, NESV-2021CZ 2.87, USDA-21077 4.3 (2.8-6.6), USDA-21525 3-4, USDA-21532 3-4
    const votes = [3.5, 2.87, 4.3, 3.5, 3.5].sort((a, b) => a - b);
    expectRange(cell('Saaz', 'alpha_pct'), 2.8, votes[2]!, 6.6);
  });

  it('Saaz cysteinylated 3SH: 450-2750 ug/kg as released 3SH (DAGAN-2016) as conjugate', () => {
    const factor = 1 / 0.606 / 1000; // 134.2 g of 3SH in 221.3 g; ug to mg
    const bound = cell('Saaz', 'cys_sh3_mg_per_kg');
    expectRange(bound, 450 * factor, ((450 + 2750) / 2) * factor, 2750 * factor);
  });

  it('Columbus geranyl acetate: mean of four samples, each the sum of two peaks, hence derived', () => {
    const acetate = cell('Columbus (CTZ)', 'geranyl_acetate_pct_of_oil');
    expectRange(acetate, 1.65, (1.65 + 1.88 + 2.17 + 2.4) / 4, 2.4);
    expect(acetate.status).toBe('derived');
  });

  it('Nelson Sauvin linalool: 312 mg/kg moves no centre, but stands in the range', () => {
    const oil = cell('Nelson Sauvin', 'total_oil_ml_per_100g').central;
    const linalool = cell('Nelson Sauvin', 'linalool_pct_of_oil');
    expect(linalool).toMatchObject({ low: 0.3, central: 0.55, status: 'memory' });
    // 312 mg/kg over the oil of 1 kg, at 0.85 g/mL
    expect(linalool.high).toBeCloseTo((312 / (oil * 10 * 0.85 * 1000)) * 100, 2);
    expect(linalool.sources).toContain('MEMORY-GENERAL');
  });

  it('Fuggle alpha: the handbook that repeats the USDA figures has no vote', () => {
    expect(cell('Fuggle', 'alpha_pct').sources).toEqual(['USDA-19209']);
  });
});

describe('estimated cells', () => {
  it('Citra humulene epoxides: humulene times the oxidized share of caryophyllene', () => {
    // oxide / caryophyllene of the 15 sound samples of VERA-DATA that carry both
    const shares = [
      ...[0 / 7, 0 / 6.74, 0.25 / 10.01], // Cascade
      ...[0 / 7.71, 0 / 7.97, 0.09 / 10.95, 0.1 / 11.47], // Zeus
      ...[0.12 / 3.48, 0.13 / 4.17, 0.1 / 3.12, 0.12 / 2.3, 0.11 / 2.81, 0 / 1.41], // Vera
      ...[0 / 4.15, 0.06 / 4.97], // Vera
    ].sort((a, b) => a - b);
    expect(shares).toHaveLength(15);
    // Citra humulene: 11-13 % of oil, middle 12 (printed)
    const epoxides = cell('Citra', 'humulene_epoxides_pct_of_oil');
    expectRange(epoxides, shares[0]! * 11, shares[7]! * 12, shares[14]! * 13);
    expect(epoxides).toMatchObject({ status: 'estimated', estimate: 'humulene_epoxides' });
  });

  it('limonene: middle of the three varieties that have a figure, high at least twice that', () => {
    const cascade = (0.1 + 0.11 + 0.13) / 3;
    const zeus = (0 + 0 + 0.05 + 0.05) / 4;
    const vera = (0 + 0 + 0 + 0 + 0.05 + 0.05 + 0.06 + 0.07 + 0.08) / 9;
    const central = [cascade, zeus, vera].sort((a, b) => a - b)[1]!;
    expectRange(cell('Citra', 'limonene_pct_of_oil'), 0, central, Math.max(0.13, 2 * central));
  });

  it('branched isobutyrates: whole span of two groups of the 1970s with its geometric middle', () => {
    const { low, central, high } = cell('Citra', 'branched_isobutyrates_pct_of_oil');
    expect([low, high]).toEqual([0.05, 1.97]);
    expect(central).toBeCloseTo(Math.sqrt(0.05 * 1.97), 2);
  });

  it('free 3SH: geometric middle of 1-60 ug/kg', () => {
    const { low, central, high } = cell('Agnus', 'sh3_ug_per_kg');
    expect([low, high]).toEqual([1, 60]);
    expect(central).toBeCloseTo(Math.sqrt(1 * 60), 1);
  });

  it('4MSP outside Europe: lower quartile of the recalled centres', () => {
    const recalled = built.hops
      .filter((hop) => /^(US|AU|NZ|JP)/.test(hop.origin ?? ''))
      .flatMap((hop) => hop.cells.msp4_ug_per_kg ?? [])
      .filter(({ status }) => status === 'memory')
      .map(({ central }) => central);
    expect(recalled).toHaveLength(15);
    expect(cell('Azacca', 'msp4_ug_per_kg').central).toBe(quantile(recalled, 0.25));
    expect(cell('Azacca', 'msp4_ug_per_kg')).toMatchObject({ low: 0.3, high: 20 });
    expect(cell('Opal', 'msp4_ug_per_kg')).toMatchObject({ low: 0.04, high: 1 });
  });

  it('Citra 3SHA: the one reading there is stands halfway to its class', () => {
    const sha3 = cell('Citra', 'sha3_ug_per_kg');
    expect(sha3.central).toBeCloseTo(Math.sqrt(27 * 5.4), 1);
    expect(sha3).toMatchObject({ high: 27, status: 'derived' });
    expect(hopNamed('Citra').thiolClass).toBe('free');
  });

  it('citronellol: the five hops of KANK-2015 have an estimate of their own', () => {
    const named = built.hops
      .filter((hop) => hop.cells.citronellol_pct_of_oil?.estimate === 'citronellol_kank')
      .map(({ name }) => name);
    expect(named).toEqual(['Amarillo', 'Citra', 'Hallertau Blanc', 'Mosaic', 'Sorachi Ace']);
    // 7 mg/kg in 3 mL/100 g of oil: 7 mg over 3 x 0.85 x 10000 mg
    const least = (7 / (3 * OIL_DENSITY * 10000)) * 100;
    expect(cell('Citra', 'citronellol_pct_of_oil').low).toBeCloseTo(least, 3);
  });
});

describe('thiol class', () => {
  const figure = (central: number, status: Cell['status']): Cell => ({
    ...{ low: 0, central, high: 200, status, sources: ['A'] },
  });

  it('follows from recalled or read figures and the precursor', () => {
    expect(hopNamed('Citra').thiolClass).toBe('free');
    expect(hopNamed('Saaz').thiolClass).toBe('bound');
    expect(hopNamed('Cascade').thiolClass).toBe('both');
    expect(hopNamed('Agnus').thiolClass).toBe('unknown');
  });

  it.each(FREE_RICH)('%s counts from %d ug/kg on, and never when estimated', (analyte, limit) => {
    expect(thiolClass({ [analyte]: figure(limit, 'memory') }, 'unknown')).toBe('free');
    expect(thiolClass({ [analyte]: figure(limit, 'estimated') }, 'unknown')).toBe('unknown');
    expect(thiolClass({ [analyte]: figure(limit * 0.99, 'seen') }, 'unknown')).toBe('unknown');
    expect(thiolClass({ [analyte]: figure(limit * 0.99, 'seen') }, 'low')).toBe('low');
    expect(thiolClass({ [analyte]: figure(limit, 'seen') }, 'high')).toBe('both');
    expect(thiolClass({}, 'low')).toBe('unknown');
  });
});
