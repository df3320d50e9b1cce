// The balances of the brew day against worked numbers from outside, and laws on drawn cases: heat, mass
// and extract are conserved, and what one function undoes the other gives back.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { diluted, liquorTo, spargeCut } from '#engine/brewday/dilution.ts';
import {
  heatCapacity,
  massOf,
  platoOf,
  waterDensity,
  type Liquid,
} from '#engine/brewday/liquid.ts';
import { kettleOf, type KettleAsked } from '#engine/brewday/kettle.ts';
import { mixed, wortTempFor } from '#engine/brewday/mixing.ts';
import { strikeTemp } from '#engine/brewday/strike.ts';

const celsius = (f: number) => (f - 32) / 1.8;
const water = (volume_l: number, temp_c: number): Liquid => ({ volume_l, temp_c, gravity_sg: 1 });
const liquids = fc.record({
  volume_l: fc.double({ min: 0.5, max: 5000, noNaN: true }),
  temp_c: fc.double({ min: 1, max: 100, noNaN: true }),
  gravity_sg: fc.double({ min: 1, max: 1.1, noNaN: true }),
});

describe('known answers', () => {
  it.each([
    // Tables of the density of water, as in any handbook (recalled).
    [4, 0.99997],
    [20, 0.9982],
    [60, 0.9832],
    [80, 0.9718],
    [100, 0.9584],
  ])('water of %i C weighs %f kg/L', (temp, density) => {
    expect(Math.abs(waterDensity(temp) - density)).toBeLessThan(4e-4);
  });

  it.each([
    // Extract tables (recalled): 1.040 is 9.99 P, 1.060 is 14.74 P.
    [1.04, 9.99],
    [1.06, 14.74],
  ])('wort of %f has %f P', (gravity, plato) => {
    expect(Math.abs(platoOf(gravity) - plato)).toBeLessThan(0.03);
  });

  it('strikes as the worked example of the infusion formula does', () => {
    // PALMER: 8 lb of malt at 70 F, 1 quart a pound, a first rest at 104 F: 111 F (110.8).
    const malt_kg = 8 * 0.45359237;
    const liquor_kg = 8 * 0.946352946;
    const temp = strikeTemp(model, {
      malt_kg,
      liquor_kg,
      malt_temp_c: celsius(70),
      mash_temp_c: celsius(104),
    });
    expect(Math.abs(temp - celsius(110.8))).toBeLessThan(0.2);
  });

  it('mixes water by hand', () => {
    // First principle, equal specific heats: (15 kg x 20 C + 5 kg x 80 C)/20 kg = 35 C.
    const cold = water(15 / waterDensity(20), 20);
    const hot = water(5 / waterDensity(80), 80);
    const both = mixed(model, [cold, hot]);
    expect(both.temp_c).toBeCloseTo(35, 6);
    expect(massOf(both)).toBeCloseTo(20, 6);
  });

  it('finds how cool wort must be by hand', () => {
    // 17 kg of water to 18 C with 3 kg at 80 C: 18 - 3 x 62/17 = 7.06 C.
    const wort = { volume_l: 17 / waterDensity(7.06), gravity_sg: 1 };
    const found = wortTempFor(model, wort, water(3 / waterDensity(80), 80), 18, 2);
    expect(found.ok && found.value).toBeCloseTo(18 - (3 * 62) / 17, 2);
  });

  it('says how cool the liquor must be where the wort cannot be cold enough', () => {
    const found = wortTempFor(
      model,
      { volume_l: 10 / waterDensity(4), gravity_sg: 1 },
      water(10 / waterDensity(90), 90),
      18,
      4,
    );
    expect(found.ok).toBe(false);
    // 10 kg of 4 C and 10 kg of 32 C make 18 C.
    if (!found.ok) expect(found.problems[0]!.cure).toMatch(/^Cool the liquor to 32 C/);
  });

  it('dilutes as gravity points do', () => {
    // 20 L of 1.060 with 4 L of water: 60 x 20/24 = 50 points.
    expect(diluted(20, 1.06, 4)).toBeCloseTo(1.05, 9);
    expect(liquorTo(20, 1.06, 1.05)).toBeCloseTo(4, 9);
    // 20 L of 1.050 in the fermenter, 4 L of them liquor: 16 L of 1.0625.
    expect(spargeCut({ volume_l: 20, gravity_sg: 1.05 }, 4)).toEqual({
      liquor_l: 4,
      wort_l: 16,
      gravity_sg: 1.0625,
    });
    expect(spargeCut({ volume_l: 3, gravity_sg: 1.05 }, 4)).toBeNull();
  });
});

describe('the kettle', () => {
  const asked: KettleAsked = {
    wort_l: 20,
    gravity_sg: 1.05,
    held_l: 0.9,
    left_share: 0.05,
    boil_h: 1.5,
    off_per_h: 0.08,
  };

  it('holds what a reckoning by hand has', () => {
    // 20 L and 0.9 L in the hops are 95 % of 22 L; 12 % boiled off leaves these of 25 L. 50 points x 22/25 = 44.
    // Water shrinks from 0.9584 kg/L boiling to 0.9982 at 20 C, so 25 L are 26.04 L there.
    const kettle = kettleOf(asked)!;
    expect(kettle.after_l).toBeCloseTo(22, 9);
    expect(kettle.before_l).toBeCloseTo(25, 9);
    expect(kettle.off_l).toBeCloseTo(3, 9);
    expect(kettle.left_l).toBeCloseTo(1.1, 9);
    expect(kettle.before_sg).toBeCloseTo(1.044, 9);
    expect(Math.abs(kettle.before_hot_l - 26.04)).toBeLessThan(0.01);
  });

  it('loses water alone, and wort as strong as the rest, on drawn cases', () => {
    const figure = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    const drawn = fc.record({
      wort_l: figure(1, 5000),
      gravity_sg: figure(1, 1.15),
      held_l: figure(0, 20),
      left_share: figure(0, 0.3),
      boil_h: figure(0, 3),
      off_per_h: figure(0, 0.3),
    });
    fc.assert(
      fc.property(drawn, (of) => {
        const { before_l, before_sg, after_l, off_l, left_l } = kettleOf(of)!;
        expect(before_l).toBeCloseTo(of.wort_l + of.held_l + left_l + off_l, 6);
        const points = (of.gravity_sg - 1) * (of.wort_l + of.held_l + left_l);
        expect((before_sg! - 1) * before_l).toBeCloseTo(points, 6);
        expect(left_l).toBeCloseTo(of.left_share * after_l, 6);
        expect(off_l).toBeCloseTo(of.off_per_h * of.boil_h * before_l, 6);
      }),
    );
  });

  it('says nothing where all of it would boil away, and no gravity where none is known', () => {
    expect(kettleOf({ ...asked, boil_h: 13 })).toBeNull();
    expect(kettleOf({ ...asked, gravity_sg: null })!.before_sg).toBeNull();
  });
});

describe('laws on drawn cases', () => {
  it('mixing conserves heat and mass, and lies between the temperatures', () => {
    fc.assert(
      fc.property(fc.array(liquids, { minLength: 1, maxLength: 4 }), (all) => {
        const both = mixed(model, all);
        const mass = all.reduce((sum, l) => sum + massOf(l), 0);
        expect(massOf(both)).toBeCloseTo(mass, 6);
        const flow = all.reduce(
          (sum, l) => sum + heatCapacity(model, l) * (l.temp_c - both.temp_c),
          0,
        );
        const scale = all.reduce((sum, l) => sum + heatCapacity(model, l) * 100, 0);
        expect(Math.abs(flow) / scale).toBeLessThan(1e-9);
        const temps = all.map((l) => l.temp_c);
        expect(both.temp_c).toBeGreaterThanOrEqual(Math.min(...temps) - 1e-9);
        expect(both.temp_c).toBeLessThanOrEqual(Math.max(...temps) + 1e-9);
      }),
    );
  });

  it('wort cooled as instructed reaches the temperature wished', () => {
    fc.assert(
      fc.property(
        liquids,
        liquids,
        fc.double({ min: 8, max: 24, noNaN: true }),
        (wort, liquor, wish) => {
          const hot = { ...liquor, gravity_sg: 1, temp_c: Math.max(liquor.temp_c, wish) };
          const found = wortTempFor(model, wort, hot, wish, 2);
          if (!found.ok) {
            expect(found.problems[0]!.cure).not.toBe('');
            return;
          }
          const both = mixed(model, [{ ...wort, temp_c: found.value }, hot]);
          expect(Math.abs(both.temp_c - wish)).toBeLessThan(0.01);
        },
      ),
    );
  });

  it('liquor left out of the sparge and run in later leaves volume and gravity as wished', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5, max: 5000, noNaN: true }),
        fc.double({ min: 1.02, max: 1.1, noNaN: true }),
        fc.double({ min: 0.01, max: 0.9, noNaN: true }),
        (volume_l, gravity_sg, share) => {
          const cut = spargeCut({ volume_l, gravity_sg }, volume_l * share)!;
          expect(cut.wort_l + cut.liquor_l).toBeCloseTo(volume_l, 6);
          expect(diluted(cut.wort_l, cut.gravity_sg!, cut.liquor_l)).toBeCloseTo(gravity_sg, 9);
          expect(liquorTo(cut.wort_l, cut.gravity_sg!, gravity_sg)).toBeCloseTo(cut.liquor_l, 6);
        },
      ),
    );
  });

  it('the strike gives the malt what the liquor loses', () => {
    const temp = fc.double({ min: 5, max: 75, noNaN: true });
    const kg = fc.double({ min: 0.5, max: 1000, noNaN: true });
    fc.assert(
      fc.property(
        kg,
        fc.double({ min: 1.5, max: 6, noNaN: true }),
        temp,
        temp,
        (malt_kg, ratio, malt, mash) => {
          const liquor_kg = malt_kg * ratio;
          const strike = strikeTemp(model, {
            malt_kg,
            liquor_kg,
            malt_temp_c: malt,
            mash_temp_c: mash,
          });
          const { 'brewday.malt_heat': m, 'brewday.water_heat': w } = Object.fromEntries(
            Object.entries(model.parameters).map(([id, row]) => [id, row.central]),
          ) as Record<string, number>;
          const gained = malt_kg * m! * (mash - malt);
          const lost = liquor_kg * w! * (strike - mash);
          expect(Math.abs(gained - lost)).toBeLessThan(1e-6 * (1 + Math.abs(gained)));
        },
      ),
    );
  });
});
