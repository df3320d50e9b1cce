// What is left of the aroma after months in the package: each compound falls at a rate of its class that
// hangs on temperature by Arrhenius' law. No part of the search. Left out: the first loss with oxygen,
// what liners take up, and 3SH that its acetate gives back.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import type { Shelf, ShelfPoint } from '#shared/answers/answer.ts';
import type { Batch } from '#shared/schemas/brief.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import {
  KELVIN_AT_0_C,
  type GramsPerLitre,
  type MicrogramsPerLitre,
  type Celsius,
  type Months,
} from '#shared/units.ts';
import type { Model, ParameterId } from '#engine/tables/model.ts';
import { Newest } from '#engine/tables/newest.ts';
import { compoundName, compoundSign } from '#engine/tables/names.ts';
import { given, Lines, parameter } from '#engine/symbols/rows.ts';
import { Program } from '#engine/symbols/program.ts';
import {
  decay,
  exp,
  line,
  minus,
  num,
  over,
  sum,
  times,
  PARAMETERS,
  type Line,
  type Term,
} from '#engine/symbols/term.ts';
import { Evaluation, at, type World } from '#engine/symbols/world.ts';
import {
  DRIVERS,
  GIVEN_CONTENT,
  odourActivity,
  onScale,
  signal,
  type BeerContent,
} from './smell.ts';
import { REPORTED_AS } from './unit-dose.ts';

/** Temperature the rates are given for, C; also where none is told. */
export const SHELF_REFERENCE_C: Celsius = 20;
/** Gas constant, kJ/(mol K). */
export const GAS_CONSTANT = 0.0083145;

/** Months looked at. */
const MONTHS = [0, 1, 3, 6] as const;

/**
 * Loss rate of a compound in packaged beer, 1/month: k20 exp(-E/R (1/T - 1/293.15)).
 * Sources: REGL18 (4MSP), GAHR19 (esters, monoterpenes, linalool).
 */
export function shelfRate(lines: Lines, compound: CompoundId, tempC: Celsius): Line {
  const { model } = lines;
  const { boilClass } = model.compounds[compound];
  return lines.once(`shelf rate ${boilClass} ${tempC}`, () => {
    const kelvin = (term: Term) => over(num(1), sum(term, num(KELVIN_AT_0_C)));
    const colder = minus(
      kelvin(given('batch.shelf_temp_c', tempC, 'Kept at', 'C')),
      kelvin(num(SHELF_REFERENCE_C)),
    );
    const energy = over(parameter(model, `shelf.energy.${boilClass}`), num(GAS_CONSTANT));
    const warmth = exp(times(num(-1), energy, colder));
    const term = times(parameter(model, `shelf.rate.${boilClass}`), warmth);
    return line(`Loss of ${compoundSign(compound)} on the shelf`, '1/month', 'shelf', term);
  });
}

/** A compound after months on the shelf, ug/L. */
export function shelfConcentration(
  lines: Lines,
  content: BeerContent,
  compound: CompoundId,
  months: Months,
  tempC: Celsius,
): Line {
  const past = given('shelf.months', months, 'On the shelf', 'months');
  const rate = shelfRate(lines, compound, tempC);
  const term = times(content.concentration(compound), decay(rate, past));
  return line(`${compoundName(compound)} after ${months} months`, 'µg/L', 'shelf', term);
}

/** Intensity of an axis after months on the shelf; leaf stays as it is. */
export function shelfIntensity(
  lines: Lines,
  content: BeerContent,
  axis: AxisId,
  months: Months,
  tempC: Celsius,
): Line {
  const { model } = lines;
  const activityOf = (c: CompoundId) =>
    odourActivity(model, c, shelfConcentration(lines, content, c, months, tempC));
  const past = given('shelf.months', months, 'On the shelf', 'months');
  const reported = times(content.reported(axis), decay(shelfRate(lines, REPORTED_AS, tempC), past));
  const { term } = signal(model, axis, { activityOf, leaf: content.leaf(), reported });
  const then = line(`Signal of ${spoken(AXIS_NAMES[axis])} by then`, '', 'signal', term);
  const name = `${AXIS_NAMES[axis]} after ${months} months`;
  return line(name, '', 'shelf_axes', onScale(model, then), { scaleOf: then });
}

/** How warm the packaged beer is kept, C. */
export function shelfTemperature({ shelf_temp_c }: Batch): Celsius {
  return shelf_temp_c ?? SHELF_REFERENCE_C;
}

/** All compounds, then all axes, month after month. */
const programs = new Newest<Model, Celsius, Program>(8);

function shelfProgram(model: Model, tempC: Celsius): Program {
  return programs.of(model, tempC, () => {
    const lines = new Lines(model);
    return new Program(
      MONTHS.flatMap((months) => [
        ...COMPOUNDS.map((c) => shelfConcentration(lines, GIVEN_CONTENT, c, months, tempC)),
        ...AXES.map((axis) => shelfIntensity(lines, GIVEN_CONTENT, axis, months, tempC)),
      ]),
    );
  });
}

/** A beer as packaged. */
export interface Packaged {
  /** By compound index. */
  readonly compounds: readonly MicrogramsPerLitre[];
  /** Signal by axis index by what tasters report of the hops. */
  readonly reported: readonly number[];
  /** Leaf, which stays as it is. */
  readonly leafGPerL: GramsPerLitre;
}

/** This beer three times: the shelf rates at their default, their low and their high ends. */
function shelfWorld(model: Model, { compounds, reported, leafGPerL }: Packaged): World {
  return {
    count: 3,
    valuesOf: ({ of, name }) => {
      if (of === DRIVERS) {
        if (name === 'leaf') return leafGPerL;
        const axis = AXES.indexOf(name as AxisId);
        return axis < 0 ? compounds[COMPOUNDS.indexOf(name as CompoundId)] : reported[axis];
      }
      if (of !== PARAMETERS || !name.startsWith('shelf.rate.')) return undefined;
      const { low, central, high } = model.parameters[name as ParameterId];
      return Float64Array.of(central, low, high);
    },
  };
}

/**
 * The profile after 0, 1, 3 and 6 months.
 * @param tempC how warm the beer is kept, C.
 */
export function shelfOf(model: Model, packaged: Packaged, tempC: Celsius): Shelf {
  const world = shelfWorld(model, packaged);
  const values = new Evaluation(world).run(shelfProgram(model, tempC));
  const points = MONTHS.map((months, m): ShelfPoint => {
    const first = m * (COMPOUNDS.length + AXES.length);
    const axis = (i: number) => {
      const of = values[first + COMPOUNDS.length + i]!;
      return { intensity: at(of, 0), low: at(of, 2), high: at(of, 1) };
    };
    return {
      months,
      compounds: Object.fromEntries(
        COMPOUNDS.map((c, i) => [c, at(values[first + i]!, 0)]),
      ) as Record<CompoundId, MicrogramsPerLitre>,
      axes: Object.fromEntries(AXES.map((a, i) => [a, axis(i)])) as Record<
        AxisId,
        ReturnType<typeof axis>
      >,
    };
  });
  return { temp_c: tempC, points };
}
