// The isomerization kinetics against the published rate constants and the worked numbers from them.
import { describe, expect, it } from 'vitest';
import {
  bitternessUnits,
  boilIsoFraction,
  isoFraction,
  isomerizationRate,
  tastedBitterness,
} from '#engine/bitterness.ts';
import { defaultValues, model } from '#engine/model.ts';

const values = defaultValues(model);
const relative = (tempC: number) =>
  isomerizationRate(tempC, values) / isomerizationRate(100, values);

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
    expect(isoFraction(tempC, minutes, values)).toBeCloseTo(fraction, 3);
  });

  // Training text (TRAINHOP): pellets in a full boil give 27-32 %, at most 25-33 % (BEERLIST).
  it('gives a whole-kettle utilisation in the range taught for a 60-90 min boil', () => {
    for (const minutes of [60, 90]) {
      const utilisation = boilIsoFraction(minutes, values) * values['iso.to_beer'];
      expect(utilisation).toBeGreaterThan(0.25);
      expect(utilisation).toBeLessThan(0.33);
    }
  });

  it('forms nothing in no time and less when cooler', () => {
    expect(isoFraction(100, 0, values)).toBeCloseTo(0, 15);
    expect(isoFraction(80, 30, values)).toBeLessThan(isoFraction(90, 30, values));
  });
});

describe('bitterness as tasted', () => {
  const parts = { isoMash: 0, isoSteep: 40 * Math.exp(-0.061 * 8), humulinones: 8 * 3.5 * 0.85 };

  // Algazzali and Shellhammer 2016 (ALGAZ16): humulinones 0.66 of iso-alpha acids. A dry hop of 8 g/L
  // at 0.35 % humulinones on 40 mg/L iso: 24.6 + 0.66 * 23.8 = 40.3: as bitter as before.
  it('stays at 40 mg/L when 8 g/L of hops go into a beer of 40 mg/L iso-alpha acids', () => {
    expect(tastedBitterness({ ...parts, alpha: 0 }, values)).toBeCloseTo(40.3, 1);
    // 4 g/L on none: 4 * 3.5 * 0.85 * 0.66 = 7.9.
    const alone = { isoMash: 0, isoSteep: 0, humulinones: 4 * 3.5 * 0.85, alpha: 0 };
    expect(tastedBitterness(alone, values)).toBeCloseTo(7.9, 1);
  });

  // Beer-23 of the ASBC (BEER23): bitterness units overstate dry-hopped beer.
  it('is less than the units read once hops bring humulinones and alpha acids', () => {
    const dry = { ...parts, alpha: 12 };
    expect(tastedBitterness(dry, values)).toBeLessThan(bitternessUnits(dry, values));
    expect(bitternessUnits(dry, values)).toBeCloseTo(24.55 + 0.8 * 23.8 + 0.6 * 12, 1);
  });
});
