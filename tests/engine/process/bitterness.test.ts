// The isomerization kinetics against the published rate constants and the worked numbers from them.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CENTRAL } from '#engine/symbols/world.ts';
import type { Addition, Analysis } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { isoFraction, isomerizationRate, predictIn, values, worldOf } from '../support/numbers.ts';
import { scheduleOf, soundDesign } from '../support/examples.ts';

const relative = (tempC: number) => isomerizationRate(tempC) / isomerizationRate(100);

describe('isomerization of alpha acids', () => {
  // Source: Malowicki and Shellhammer 2005, J Agric Food Chem 53:4434 (MAL05):
  // k1 = 7.9e11 exp(-11858/T) per minute. Relative to 100 C (373.15 K):
  // 90 C: exp(-11858 (1/363.15 - 1/373.15)) = exp(-11858 * 7.3794e-5) = exp(-0.87505) = 0.417
  // 80 C: exp(-11858 (1/353.15 - 1/373.15)) = exp(-11858 * 1.51770e-4) = exp(-1.79969) = 0.165
  it('runs at 0.42 of the boil rate at 90 C and 0.165 at 80 C', () => {
    expect(relative(90)).toBeCloseTo(0.42, 2);
    expect(relative(80)).toBeCloseTo(0.165, 3);
  });

  // Same source, computed from its fit by hand: 100 C, 60 min gives 0.476; 90 C, 60 min 0.259.
  it.each([
    [100, 30, 0.298],
    [100, 60, 0.476],
    [100, 90, 0.574],
    [90, 60, 0.259],
    [110, 90, 0.581],
    [120, 60, 0.441],
    [130, 90, 0.036],
  ])('forms the published fraction at %i C after %i min', (tempC, minutes, fraction) => {
    expect(isoFraction(tempC, minutes)).toBeCloseTo(fraction, 3);
  });

  // Training text (TRAINHOP): pellets in a full boil give 27-32 %, at most 25-33 % (BEERLIST).
  it('gives a whole-kettle utilisation in the range taught for a 60-90 min boil', () => {
    for (const minutes of [60, 90]) {
      const utilisation = isoFraction(100, minutes) * values['iso.to_beer'];
      expect(utilisation).toBeGreaterThan(0.25);
      expect(utilisation).toBeLessThan(0.33);
    }
  });

  it('forms nothing in no time and less when cooler', () => {
    expect(isoFraction(100, 0)).toBeCloseTo(0, 15);
    expect(isoFraction(80, 30)).toBeLessThan(isoFraction(90, 30));
  });
});

describe('bitterness as tasted', () => {
  /** A dry hop long enough to give all it can, at 20 C, g/L, of hops of so many % alpha acids. */
  const dry = (dose: number, alpha: number) =>
    soundDesign(
      scheduleOf(
        [
          {
            hop: 'Trial',
            form: 'pellet_90',
            stage: 'dry_hop',
            grams: 20 * dose,
            analysis: { alpha_pct: alpha },
          },
        ],
        { stages: { dry_hop: { temp_c: 20, hours: 2000, mixed: true, live_yeast: false } } },
      ),
    );

  // Algazzali and Shellhammer 2016 (ALGAZ16): humulinones 0.66 of iso-alpha acids. At 0.35 % by weight
  // (middle of MAYE15), here of a hop of 11.67 % alpha acids, and no alpha acids in the beer: 4 g/L are
  // 4 * 3.5 * 0.85 * 0.66 = 7.9; on 40 mg/L of iso-alpha acids a dry hop of 8 g/L leaves 24.6 of these
  // and adds 0.66 * 23.8: 40.3, as bitter as before.
  it('counts humulinones at two thirds', () => {
    const noAlpha = worldOf({ 'dry_hop.alpha_transfer': 0 });
    const { totals } = predictIn(dry(4, 3.5 / 0.3), noAlpha);
    expect(totals.bitter_taste_mg_per_l).toBeCloseTo(7.9, 1);
    const adsorbed = 40 * Math.exp(-values['dry_hop.iso_adsorption'] * 8);
    const eight = predictIn(dry(8, 3.5 / 0.3), noAlpha).totals.bitter_taste_mg_per_l;
    expect(adsorbed + eight).toBeCloseTo(40.3, 1);
  });

  // Beer-23 of the ASBC (BEER23): bitterness units overstate dry-hopped beer.
  it('is less than the units read once hops bring humulinones and alpha acids', () => {
    const { totals } = predictIn(dry(8, 12), worldOf({}));
    expect(totals.bitter_taste_mg_per_l).toBeLessThan(totals.ibu);
    // 8 g/L x 120 mg/g x 0.03 x 0.85 = 24.48 mg/L humulinones; 5 exp(0.033 x 20) = 9.67 mg/L alpha acids.
    expect(totals.ibu).toBeCloseTo(0.8 * 24.48 + 0.6 * 9.67, 1);
  });
});

describe('bitterness of a dry hop, by variety and age', () => {
  const dry = (addition: Partial<Addition>, dose: number, temp_c = 16) => {
    const all = { form: 'pellet_90', stage: 'dry_hop', hop: 'Trial', ...addition } as const;
    const stages = { dry_hop: { temp_c, hours: 96, mixed: false, live_yeast: false } };
    return predictIn(soundDesign(scheduleOf([{ ...all, grams: 20 * dose }], { stages })), CENTRAL)
      .totals.ibu;
  };
  const offered = model.hops.filter(({ missing }) => missing.length === 0).map(({ name }) => name);
  const dose = fc.double({ min: 0.01, max: 16, noNaN: true });

  // Common practice, no source: a dry hop of a high-alpha hop is far more bitter than of a noble one.
  it('differs by at least a factor of two over the table at 5 g/L', () => {
    const all = offered.map((hop) => dry({ hop }, 5));
    expect(Math.max(...all)).toBeGreaterThan(2 * Math.min(...all));
    expect(dry({ hop: 'Magnum' }, 5)).toBeGreaterThan(2 * dry({ hop: 'Saaz' }, 5));
  });

  // Solubility bounds the alpha acids (BEERIBU), so that no gram brings more than the first; the
  // humulinones have no bound, so that none brings less than half of it.
  it('does not jump at low doses', () => {
    fc.assert(
      fc.property(fc.constantFrom(...offered), dose, dose, (hop, a, b) => {
        const [low, high] = [Math.min(a, b), Math.max(a, b)];
        const [less, more] = [dry({ hop }, low), dry({ hop }, high)];
        expect(more).toBeGreaterThanOrEqual(less);
        expect(more / high).toBeLessThanOrEqual((less / low) * (1 + 1e-9));
        expect(more / high).toBeGreaterThan(less / low / 2);
      }),
    );
  });

  // McMillan 2023 (MCMIL23) and Maye 2015 (MAYE15): humulinones rise with the storage index.
  it('rises with the storage index, whoever stated the alpha acids', () => {
    const index = fc.double({ min: 0.25, max: 0.8, noNaN: true });
    const analysis = fc.constantFrom(undefined, { alpha_pct: 10 });
    const noAlpha = worldOf({ 'ibu.weight.alpha': 0 });
    const at = (storage_index: number, own: Analysis | undefined) =>
      predictIn(
        soundDesign(
          scheduleOf([
            {
              hop: 'Citra',
              form: 'pellet_90',
              stage: 'dry_hop',
              grams: 100,
              analysis: own,
              storage: { storage_index },
            },
          ]),
        ),
        noAlpha,
      ).totals.ibu;
    fc.assert(
      fc.property(index, index, analysis, (a, b, own) => {
        expect(at(Math.max(a, b), own)).toBeGreaterThanOrEqual(at(Math.min(a, b), own) - 1e-12);
      }),
      { numRuns: 30 },
    );
    expect(at(0.6, undefined)).toBeGreaterThan(1.5 * at(0.25, undefined));
  });

  // Oladokun 2017 (OLAD17): alpha acids rose at 19 C, not at 4 C; an old text has 5 mg/L at 0 C (BEERIBU).
  it('holds more alpha acids in warmer beer', () => {
    const held = (temp_c: number) => dry({ analysis: { alpha_pct: 18 } }, 16, temp_c);
    expect(held(20)).toBeGreaterThan(held(4));
  });
});
