// What is left of the aroma after months in the package: each compound falls at the rate of its class, which
// depends on temperature by Arrhenius' law. The search does not use it. Left out: the first loss by oxygen,
// what liners take up, and 3SH that comes back from its acetate.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import { FADED } from '#shared/answers/keeping-time.ts';
import type { BestBefore, Shelf, ShelfPoint } from '#shared/answers/prediction.ts';
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
  type Leaf,
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

/** Temperature the rates are given for, C; it also holds where the batch gives none. */
export const SHELF_REFERENCE_C: Celsius = 20;
/** Gas constant, kJ/(mol K). */
export const GAS_CONSTANT = 0.0083145;

/** Months after packaging for which the answer gives the profile. */
const MONTHS = [0, 1, 3, 6] as const;
/** A note whose fading does not count, because nobody misses it. */
const UNMISSED: AxisId = 'onion_garlic';
/** Longest best-before that is given, months; between the sampled months a note counts as linear. */
const KEEPS_MOST: Months = 24;
const KEEPS_STEP: Months = 0.5;
/** The months on the shelf of a world. */
const PAST: Leaf = { ...num(0), input: { of: DRIVERS, name: 'months' } };

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

const pastOf = (months: Months | Leaf) =>
  typeof months === 'number' ? given('shelf.months', months, 'On the shelf', 'months') : months;

/** Concentration of a compound after months on the shelf, ug/L. */
export function shelfConcentration(
  lines: Lines,
  content: BeerContent,
  compound: CompoundId,
  months: Months | Leaf,
  tempC: Celsius,
): Line {
  const past = pastOf(months);
  const rate = shelfRate(lines, compound, tempC);
  const term = times(content.concentration(compound), decay(rate, past));
  return line(`${compoundName(compound)} after ${past.value} months`, 'µg/L', 'shelf', term);
}

/** Intensity of an axis after months on the shelf; leaf does not fade. */
export function shelfIntensity(
  lines: Lines,
  content: BeerContent,
  axis: AxisId,
  months: Months | Leaf,
  tempC: Celsius,
): Line {
  const { model } = lines;
  const activityOf = (c: CompoundId) =>
    odourActivity(model, c, shelfConcentration(lines, content, c, months, tempC));
  const past = pastOf(months);
  const reported = times(content.reported(axis), decay(shelfRate(lines, REPORTED_AS, tempC), past));
  const { term } = signal(model, axis, { activityOf, leaf: content.leaf(), reported });
  const then = line(`Signal of ${spoken(AXIS_NAMES[axis])} by then`, '', 'signal', term);
  const name = `${AXIS_NAMES[axis]} after ${past.value} months`;
  return line(name, '', 'shelf_axes', onScale(model, then), { scaleOf: then });
}

/** Temperature at which the packaged beer is kept, C. */
export function shelfTemperature({ shelf_temp_c }: Batch): Celsius {
  return shelf_temp_c ?? SHELF_REFERENCE_C;
}

interface ShelfPrograms {
  /** Outputs: all compounds, then all axes, for one month after the other. */
  readonly figures: Program;
  /** Outputs: all axes, after the months of a world. */
  readonly fading: Program;
}
const programs = new Newest<Model, Celsius, ShelfPrograms>(8);

function shelfPrograms(model: Model, tempC: Celsius): ShelfPrograms {
  return programs.of(model, tempC, () => {
    const lines = new Lines(model);
    const axesAfter = (months: Months | Leaf) =>
      AXES.map((axis) => shelfIntensity(lines, GIVEN_CONTENT, axis, months, tempC));
    return {
      figures: new Program(
        MONTHS.flatMap((months) => [
          ...COMPOUNDS.map((c) => shelfConcentration(lines, GIVEN_CONTENT, c, months, tempC)),
          ...axesAfter(months),
        ]),
      ),
      fading: new Program(axesAfter(PAST)),
    };
  });
}

/** A beer as packaged. */
export interface Packaged {
  /** By compound index. */
  readonly compounds: readonly MicrogramsPerLitre[];
  /** By axis index, the part of the signal that comes from what tasters report of the hops. */
  readonly reported: readonly number[];
  /** Leaf does not change on the shelf. */
  readonly leafGPerL: GramsPerLitre;
}

/** Worlds for a rate: at its default, its low end and its high end. */
const ENDS = 3;

/** This beer with the shelf rates at their default, low and high ends, after each of some months. */
function shelfWorld(
  model: Model,
  { compounds, reported, leafGPerL }: Packaged,
  months: readonly Months[] = [0],
): World {
  const count = ENDS * months.length;
  const each = (value: (end: number, month: number) => number) =>
    Float64Array.from({ length: count }, (_, k) => value(k % ENDS, months[Math.floor(k / ENDS)]!));
  const past = each((_, month) => month);
  return {
    count,
    valuesOf: ({ of, name }) => {
      if (of === DRIVERS) {
        if (name === PAST.input!.name) return past;
        if (name === 'leaf') return leafGPerL;
        const axis = AXES.indexOf(name as AxisId);
        return axis < 0 ? compounds[COMPOUNDS.indexOf(name as CompoundId)] : reported[axis];
      }
      if (of !== PARAMETERS || !name.startsWith('shelf.rate.')) return undefined;
      const { low, central, high } = model.parameters[name as ParameterId];
      return each((end) => [central, low, high][end]!);
    },
  };
}

/**
 * The time at which the first note has lost so much that the profile counts as another, with the rates at their
 * default and at their ends.
 */
function bestBeforeOf(model: Model, packaged: Packaged, tempC: Celsius): BestBefore {
  const months = Array.from({ length: KEEPS_MOST / KEEPS_STEP + 1 }, (_, i) => i * KEEPS_STEP);
  const world = shelfWorld(model, packaged, months);
  const values = new Evaluation(world).run(shelfPrograms(model, tempC).fading);
  let axis: AxisId | null = null;
  const fadedAt = (end: number): Months | null => {
    let first = Infinity;
    for (const [a, of] of values.entries()) {
      if (AXES[a] === UNMISSED) continue;
      const floor = at(of, end) - FADED;
      const m = months.findIndex((_, i) => at(of, ENDS * i + end) <= floor);
      if (m < 0) continue;
      const [above, below] = [m - 1, m].map((i) => at(of, ENDS * i + end) - floor) as [
        number,
        number,
      ];
      const month = months[m - 1]! + (KEEPS_STEP * above) / (above - below);
      if (month >= first) continue;
      first = month;
      if (end === 0) axis = AXES[a]!;
    }
    return first < Infinity ? first : null;
  };
  const [central, slow, fast] = [0, 1, 2].map(fadedAt);
  return { months: central!, low: fast!, high: slow!, axis };
}

/**
 * The profile after 0, 1, 3 and 6 months, and the time until which it counts as the profile that was made.
 * @param tempC temperature at which the beer is kept, C.
 */
export function shelfOf(model: Model, packaged: Packaged, tempC: Celsius): Shelf {
  const world = shelfWorld(model, packaged);
  const values = new Evaluation(world).run(shelfPrograms(model, tempC).figures);
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
  return { temp_c: tempC, points, best_before: bestBeforeOf(model, packaged, tempC) };
}
