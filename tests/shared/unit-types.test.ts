// That figures in two units do not mix. Each line under a `@ts-expect-error` is a mistake; the check of types
// fails as soon as one of them compiles. What is not a mistake stands at the end.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { carbonationPressureBar } from '#engine/predict/carbonation.ts';
import { packagesFor } from '#engine/predict/purchases.ts';
import { shareAtLoad } from '#engine/process/load-law.ts';
import { given } from '#engine/symbols/rows.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Limits } from '#shared/schemas/brief.ts';
import type { Addition, Analysis } from '#shared/schemas/lot.ts';
import type { ConditionsOf } from '#shared/stages/kinds.ts';
import {
  toShown,
  toStored,
  type Celsius,
  type Grams,
  type GramsPerLitre,
  type Hours,
  type Litres,
  type MicrogramsPerLitre,
  type MillilitresPer100Grams,
  type Minutes,
} from '#shared/units.ts';

const celsius: Celsius = 20;
const minutes: Minutes = 20;
const hours: Hours = 20;
const grams: Grams = 20;
const gramsPerLitre: GramsPerLitre = 20;
const litres: Litres = 20;
const microgramsPerLitre: MicrogramsPerLitre = 20;
const oil: MillilitresPer100Grams = 2;

describe('does not compile', () => {
  it('one unit for another', () => {
    // @ts-expect-error C for minutes
    const time: Minutes = celsius;
    // @ts-expect-error hours for minutes
    const long: Minutes = hours;
    // @ts-expect-error g/L for g
    const weight: Grams = gramsPerLitre;
    // @ts-expect-error g for L
    const volume: Litres = grams;
    // @ts-expect-error mL/100 g for g/L
    const dose: GramsPerLitre = oil;
    // @ts-expect-error ug/L for g/L
    const load: GramsPerLitre = microgramsPerLitre;
    expect([time, long, weight, volume, load]).toEqual(Array(5).fill(20));
    expect(dose).toBe(2);
  });

  it('a figure of another unit in the engine', () => {
    // @ts-expect-error minutes for C
    expect(carbonationPressureBar(model, 2.5, minutes)).toBeGreaterThan(0);
    // @ts-expect-error g for the load in g/L
    expect(shareAtLoad(grams, gramsPerLitre)).toBe(0.5);
    // @ts-expect-error g in packages of L
    expect(packagesFor(grams, litres)).toBe(1);
    // @ts-expect-error a term in min out of C
    expect(given('x', celsius, 'Steep', 'min').value).toBe(20);
    // @ts-expect-error g/L for the grams of an addition
    const addition: Pick<LotAddition, 'grams'> = { grams: gramsPerLitre };
    expect(addition.grams).toBe(20);
  });

  it('a field of another unit in a document', () => {
    // @ts-expect-error minutes for the temperature of a steep
    const steep: ConditionsOf<'hot_steep'> = { temp_c: minutes, minutes, closed: false };
    // @ts-expect-error hours for the minutes of a boil
    const boil: ConditionsOf<'boil'> = { minutes: hours };
    // @ts-expect-error g/L for the grams of an addition
    const addition: Pick<Addition, 'grams'> = { grams: gramsPerLitre };
    // @ts-expect-error g for the most of a stage in g/L
    const most: Limits['stage_at_most_g_per_l'] = { boil: grams };
    // @ts-expect-error g/L for the oil of an analysis in mL/100 g
    const analysis: Analysis = { total_oil_ml_per_100g: gramsPerLitre };
    expect([steep.temp_c, boil.minutes, addition.grams]).toEqual([20, 20, 20]);
    expect(most).toEqual({ boil: analysis.total_oil_ml_per_100g });
  });

  it('a figure of another unit in the search', () => {
    // @ts-expect-error grams for doses
    const doses: Doses = { columns: [0], doses: [grams] };
    // @ts-expect-error g/L for the litres of beer
    const problem: Pick<BlendProblem, 'beerL'> = { beerL: gramsPerLitre };
    expect(doses.doses[0]).toBe(problem.beerL);
  });

  it('a figure of another unit where people read and type', () => {
    // @ts-expect-error L shown as a temperature
    expect(toShown(litres, 'temperature', 'metric')).toBe(20);
    // @ts-expect-error a typed weight kept as a dose
    const kept: GramsPerLitre = toStored(20, 'hop_mass', 'metric');
    expect(kept).toBe(20);
  });
});

describe('compiles', () => {
  it('plain numbers and what arithmetic gives', () => {
    const dose: GramsPerLitre = grams / litres;
    const plain: number = celsius;
    expect(shareAtLoad(dose, 1)).toBe(0.5);
    expect(packagesFor(grams, grams) + packagesFor(gramsPerLitre, 5)).toBe(5);
    expect(plain).toBe(20);
  });
});
