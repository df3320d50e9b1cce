// Hops in hot wort or liquor after the boil: extraction against evaporation while it rests, then perhaps
// while it cools with the hops in it. A lid keeps what would evaporate.
import { KELVIN_AT_0_C } from '#shared/units.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import { given } from '#engine/symbols/rows.ts';
import {
  decay,
  exp,
  least,
  line,
  minus,
  most,
  num,
  over,
  power,
  sum,
  times,
  type Line,
  type Term,
} from '#engine/symbols/term.ts';
import { coolingNodes, tempDuring } from '../heat.ts';
import { cooled, heldAt, isomerizedLine, UNHEATED, type HopAcids } from '../isomerization.ts';
import type { Process } from '../process.ts';
import type { StageTerms } from '../stage.ts';
import { throughFermentation } from '../yeast.ts';

/** Conditions the open hot-steep yields are given for. */
export const STEEP_REFERENCE = { tempC: 95, minutes: 20 } as const;

type Steep = StageUse<'hot_steep'>;

/** Hot extraction rate, 1/min, halving per so many C of cooling. */
export function hotExtractionRate(process: Process, tempC: Term): Term {
  const colder = over(
    minus(num(STEEP_REFERENCE.tempC), tempC),
    process.parameter('hot_steep.extraction_halving'),
  );
  return times(process.parameter('hot_steep.extraction_rate'), power(num(0.5), colder));
}

/** Evaporation rate in an open steep over that in the boil, falling with temperature. */
export function steepEvaporation(process: Process, tempC: Term): Term {
  const kelvin = (term: Term) => over(num(1), sum(term, num(KELVIN_AT_0_C)));
  const colder = minus(kelvin(tempC), kelvin(num(STEEP_REFERENCE.tempC)));
  return times(
    process.parameter('hot_steep.evaporation_share'),
    decay(process.parameter('hot_steep.evaporation_temperature'), colder),
  );
}

const tempOf = ({ key, conditions }: Steep) =>
  given(`stages.${key}.temp_c`, conditions.temp_c, 'Steep at', 'C');
const minutesOf = ({ key, conditions }: Steep) =>
  given(`stages.${key}.minutes`, conditions.minutes, 'Steep', 'min');

/** Sum of a rate (1/min) over rest and cooling, dimensionless. */
export function summedOver(
  process: Process,
  use: Steep,
  name: string,
  rate: (process: Process, tempC: Term) => Term,
): Term {
  const rest = times(rate(process, tempOf(use)), minutesOf(use));
  const { cooling } = use.conditions;
  if (!cooling) return rest;
  const tempAt = tempDuring(process, use.conditions.temp_c, cooling);
  const nodes = coolingNodes().map(({ share, weight }) =>
    times(num(weight), rate(process, tempAt(share))),
  );
  const term = sum(rest, times(num(cooling.minutes), sum(...nodes)));
  return process.once(`${name} ${use.key}`, () =>
    line(`${name} summed over rest and cooling`, '-', 'hot_steep_yield', term, {
      manySteps: true,
    }),
  );
}

/** What a steep extracts against the reference steep. */
function relativeExtraction(process: Process, use: Steep): Line {
  return process.once(`steep relative ${use.key}`, () => {
    const reference = decay(
      process.parameter('hot_steep.extraction_rate'),
      num(STEEP_REFERENCE.minutes),
    );
    const heat = summedOver(process, use, 'Extraction', hotExtractionRate);
    const term = over(minus(num(1), decay(heat)), minus(num(1), reference));
    return line('Extracted against 20 min at 95 C', 'fraction', 'hot_steep_yield', term);
  });
}

/** Minutes of boil by which evaporation is less than in the reference steep. */
function evaporationSpared(process: Process, use: Steep): Line {
  return process.once(`steep spared ${use.key}`, () => {
    const share = process.parameter('hot_steep.evaporation_share');
    const gone = summedOver(process, use, 'Evaporation', steepEvaporation);
    const term = minus(times(share, num(STEEP_REFERENCE.minutes)), gone);
    return line('Evaporation spared', 'min of boil', 'hot_steep_yield', term);
  });
}

/** Hop acids after the steep, from what they were when it began. @param key names the heat. */
export function acidsAfterSteep(
  process: Process,
  use: Steep,
  before: HopAcids,
  key: string = use.key,
): HopAcids {
  const { cooling, temp_c } = use.conditions;
  const held = heldAt(process, key, before, tempOf(use), minutesOf(use));
  if (!cooling) return held;
  return cooled(process, held, cooling.minutes, tempDuring(process, temp_c, cooling));
}

export function hotSteepTerms(process: Process, use: Steep): StageTerms {
  const { key, conditions } = use;
  const { model } = process;
  const kept = process.parameter('precursor.survival.hot_steep');
  return {
    use,
    where: 'hot steep',
    loads: false,
    yieldOf: (compound) => {
      const { transferClass, boilClass, loadGroup } = model.compounds[compound];
      const relative = relativeExtraction(process, use);
      const open = () =>
        least(
          num(1),
          times(
            process.parameter(`hot_steep.yield.${transferClass}`),
            relative,
            exp(
              times(process.parameter(`boil.rate.${boilClass}`), evaporationSpared(process, use)),
            ),
          ),
        );
      const closed = () =>
        times(
          process.parameter(`hot_steep.closed_yield.${transferClass}`),
          least(num(1), relative),
        );
      // A lid never keeps less of an oxygenate than an open vessel; of hydrocarbons it does, as read
      // (DIP_TRADE).
      const lidded = () => (loadGroup === 'oxygenate' ? most(closed(), open()) : closed());
      return { equation: 'hot_steep_yield', term: conditions.closed ? lidded() : open() };
    },
    yieldKey: (compound) => {
      const { transferClass, boilClass, loadGroup } = model.compounds[compound];
      return `${transferClass} ${boilClass} ${loadGroup}`;
    },
    yeast: throughFermentation(
      process,
      (compound) => model.compounds[compound].steepYieldTo === 'wort',
    ),
    bound: { cys: [kept], g: [kept] },
    alpha: {
      kind: 'hot',
      factors: [],
      isomerized: () =>
        process.once(`isomerized ${key}`, () =>
          isomerizedLine(
            'Isomerized in the hot steep',
            acidsAfterSteep(process, use, UNHEATED),
            conditions.cooling !== undefined,
          ),
        ),
      cap: process.parameter('iso.hot_alpha_cap'),
    },
    extracted: null,
    leavesLeaf: true,
    loss: () => process.parameter('loss.hot_steep'),
    creepDays: null,
  };
}
