// Hops in hot wort or liquor after the boil: they are extracted while compounds evaporate, first at a steady
// temperature, then perhaps while the wort cools with the hops in it. A lid keeps what would evaporate.
import { KELVIN_AT_0_C, type Celsius, type Minutes } from '#shared/units.ts';
import type { BoilClass } from '#shared/schemas/tables.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import { condition } from '#engine/symbols/rows.ts';
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
  type Leaf,
  type Line,
  type Term,
} from '#engine/symbols/term.ts';
import { coolingNodes, tempDuring } from '../heat.ts';
import { cooled, heldAt, isomerizedLine, UNHEATED, type HopAcids } from '../isomerization.ts';
import type { Process } from '../process.ts';
import type { StageTerms, YeastTerms } from '../stage.ts';
import { throughFermentation } from '../yeast.ts';

/** Conditions the open hot-steep yields are given for. */
export const STEEP_REFERENCE: { readonly tempC: Celsius; readonly minutes: Minutes } = {
  tempC: 95,
  minutes: 20,
};

type Steep = StageUse<'hot_steep'>;

/**
 * What yeast leaves of hops whose yields are those of a hot steep. A yield measured into the beer contains the
 * fermentation already; one measured into the wort does not.
 */
export function steepedYeastTerms(process: Process): YeastTerms {
  return throughFermentation(
    process,
    (compound) => process.model.compounds[compound].steepYieldTo === 'wort',
  );
}

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

/** The steeps that the hops of one steep go through: its own, then those that follow in the kettle. */
function steepsOf(process: Process, use: Steep): Steep[] {
  return use.conditions.liquor_l === undefined
    ? [use, ...process.kettleSteepsAfter(use.key)]
    : [use];
}

/** Evaporation in each of some steeps, in minutes of boil; 0 under a lid. */
export function evaporatedIn(process: Process, steeps: readonly Steep[]): Term[] {
  return steeps
    .filter(({ conditions }) => !conditions.closed)
    .map((use) => summedOver(process, use, 'Evaporation', steepEvaporation));
}

const tempOf = ({ key, conditions }: Steep) =>
  condition(`stages.${key}.temp_c`, conditions.temp_c, 'Steep at', 'C');
const minutesOf = ({ key, conditions }: Steep) =>
  condition(`stages.${key}.minutes`, conditions.minutes, 'Steep', 'min');

/** How a steep cools, `null` where it does not; `tempAt` gives C at a share of the cooling time, 0 to 1. */
function coolingOf(
  process: Process,
  use: Steep,
): { readonly minutes: Leaf; readonly tempAt: (share: number) => Term } | null {
  const { cooling } = use.conditions;
  if (!cooling) return null;
  const path = `stages.${use.key}.cooling`;
  const minutes = condition(`${path}.minutes`, cooling.minutes, 'Cooling', 'min');
  const toC = condition(`${path}.to_c`, cooling.to_c, 'Cooled to', 'C');
  return { minutes, tempAt: tempDuring(process, tempOf(use), toC) };
}

/** Integral of a rate (1/min) over the rest and the cooling, dimensionless. */
export function summedOver(
  process: Process,
  use: Steep,
  name: string,
  rate: (process: Process, tempC: Term) => Term,
): Term {
  const rest = times(rate(process, tempOf(use)), minutesOf(use));
  const cooling = coolingOf(process, use);
  if (!cooling) return rest;
  const nodes = coolingNodes().map(({ share, weight }) =>
    times(num(weight), rate(process, cooling.tempAt(share))),
  );
  const term = sum(rest, times(cooling.minutes, sum(...nodes)));
  return process.once(`${name} ${use.key}`, () =>
    line(`${name} summed over rest and cooling`, '-', 'hot_steep_yield', term, {
      manySteps: true,
    }),
  );
}

/** Extraction of a steep relative to the reference steep. */
function relativeExtraction(process: Process, use: Steep): Line {
  return process.once(`steep relative ${use.key}`, () => {
    const reference = decay(
      process.parameter('hot_steep.extraction_rate'),
      num(STEEP_REFERENCE.minutes),
    );
    const heat = steepsOf(process, use).map((of) =>
      summedOver(process, of, 'Extraction', hotExtractionRate),
    );
    const term = over(minus(num(1), decay(sum(...heat))), minus(num(1), reference));
    return line('Extracted against 20 min at 95 C', 'fraction', 'hot_steep_yield', term);
  });
}

/** By how much a steep evaporates less than the reference steep, in minutes of boil. */
function evaporationSpared(process: Process, use: Steep): Line {
  return process.once(`steep spared ${use.key}`, () => {
    const share = process.parameter('hot_steep.evaporation_share');
    const later = evaporatedIn(process, steepsOf(process, use).slice(1));
    const gone = [summedOver(process, use, 'Evaporation', steepEvaporation), ...later];
    const term = minus(times(share, num(STEEP_REFERENCE.minutes)), sum(...gone));
    return line('Evaporation spared', 'min of boil', 'hot_steep_yield', term);
  });
}

/**
 * Hop acids after the steep, from those at its beginning.
 * @param key names this heating, so that its lines are made once.
 */
function acidsAfterSteep(process: Process, use: Steep, before: HopAcids, key: string): HopAcids {
  const cooling = coolingOf(process, use);
  const held = heldAt(process, key, before, tempOf(use), minutesOf(use));
  if (!cooling) return held;
  return cooled(process, held, cooling.minutes, cooling.tempAt);
}

/** Hop acids of a stage after the steeps that follow it, and whether one of these cooled with the hops in it. */
export function acidsAfterSteeps(
  process: Process,
  key: string,
  before: HopAcids,
  steeps: readonly Steep[],
): { readonly acids: HopAcids; readonly cooled: boolean } {
  const acids = steeps.reduce(
    (now, use) => acidsAfterSteep(process, use, now, use.key === key ? key : `${key}/${use.key}`),
    before,
  );
  return { acids, cooled: steeps.some(({ conditions }) => conditions.cooling !== undefined) };
}

/**
 * Most alpha acids that the wort can hold, mg per L of beer: liquor of its own holds as much per litre, and is
 * then diluted by the wort.
 */
function alphaCap(process: Process, { key, conditions: { liquor_l } }: Steep): Term {
  const cap = process.parameter('iso.hot_alpha_cap');
  if (liquor_l === undefined) return cap;
  const liquor = condition(`stages.${key}.liquor_l`, liquor_l, 'Liquor of its own', 'L');
  return times(cap, least(num(1), over(liquor, process.beer)));
}

export function hotSteepTerms(process: Process, use: Steep): StageTerms {
  const { key, conditions } = use;
  const { model } = process;
  const kept = process.parameter('precursor.survival.hot_steep');
  /** What a lid has kept, less what evaporates in open steeps after it. */
  const evaporatedLater = (boilClass: BoilClass): Term[] => {
    const gone = evaporatedIn(process, steepsOf(process, use).slice(1));
    return gone.length === 0
      ? []
      : [decay(process.parameter(`boil.rate.${boilClass}`), sum(...gone))];
  };
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
          ...evaporatedLater(boilClass),
        );
      // A lid never keeps less of an oxygenate than an open vessel does; of hydrocarbons it does, as read in
      // DIP_TRADE.
      const lidded = () => (loadGroup === 'oxygenate' ? most(closed(), open()) : closed());
      return { equation: 'hot_steep_yield', term: conditions.closed ? lidded() : open() };
    },
    yieldKey: (compound) => {
      const { transferClass, boilClass, loadGroup } = model.compounds[compound];
      return `${transferClass} ${boilClass} ${loadGroup}`;
    },
    yeast: steepedYeastTerms(process),
    bound: { cys: [kept], g: [kept] },
    alpha: {
      kind: 'hot',
      factors: [],
      isomerized: () =>
        process.once(`isomerized ${key}`, () => {
          const after = acidsAfterSteeps(process, key, UNHEATED, steepsOf(process, use));
          return isomerizedLine('Isomerized in the hot steep', after.acids, after.cooled);
        }),
      cap: alphaCap(process, use),
    },
    extracted: null,
    leavesLeaf: true,
    loss: () => process.parameter('loss.hot_steep'),
    madeUpIn: conditions.liquor_l === undefined ? 'kettle' : null,
    creepDays: null,
  };
}
