// The isomerization kinetics against the published rate constants and the worked numbers from them.
import { describe, expect, it } from 'vitest';
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
  /** A dry hop long enough to give all it can, of hops without alpha acids, g/L. */
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

  // Algazzali and Shellhammer 2016 (ALGAZ16): humulinones 0.66 of iso-alpha acids: 4 g/L on no other
  // bitterness are 4 * 3.5 * 0.85 * 0.66 = 7.9; on 40 mg/L of iso-alpha acids a dry hop of 8 g/L leaves
  // 24.6 of these and adds 0.66 * 23.8: 40.3, as bitter as before.
  it('counts humulinones at two thirds', () => {
    const { totals } = predictIn(dry(4, 0), worldOf({}));
    expect(totals.bitter_taste_mg_per_l).toBeCloseTo(7.9, 1);
    const adsorbed = 40 * Math.exp(-values['dry_hop.iso_adsorption'] * 8);
    const eight = predictIn(dry(8, 0), worldOf({})).totals.bitter_taste_mg_per_l;
    expect(adsorbed + eight).toBeCloseTo(40.3, 1);
  });

  // Beer-23 of the ASBC (BEER23): bitterness units overstate dry-hopped beer.
  it('is less than the units read once hops bring humulinones and alpha acids', () => {
    const { totals } = predictIn(dry(8, 12), worldOf({}));
    expect(totals.bitter_taste_mg_per_l).toBeLessThan(totals.ibu);
    expect(totals.ibu).toBeCloseTo(0.8 * 23.8 + 0.6 * 12, 1);
    expect(model.parameters['dry_hop.alpha_cap'].central).toBe(12);
  });
});
