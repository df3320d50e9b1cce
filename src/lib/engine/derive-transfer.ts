// The filled-in equations of the process: which share of a compound a stage and the fermentation leave,
// and how the yield of a dry hop falls with its load. Held against the engine by a test.
import type { CompoundId, StageId } from '#shared/ids.ts';
import { KELVIN_AT_0_C } from '#shared/units.ts';
import { beerOf, given, gramsOf, once, parameter, type Working } from './derive-rows.ts';
import { leftOnYeast, reducedOnYeast } from './derive-geraniol.ts';
import { heatSum } from './heat.ts';
import { defaultValues } from './model.ts';
import { compoundSign } from './names.ts';
import {
  by,
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
  valueOf,
  type Leaf,
  type Line,
  type Term,
} from './terms.ts';
import {
  DRY_HOP_REFERENCE_C,
  hotExtractionRate,
  STEEP_REFERENCE,
  steepEvaporation,
} from './transfer.ts';

/** Total dry-hop load, g/L. */
export function loadOf(working: Working): Line {
  return once(working, 'load', () => {
    const dry = working.design.additions.filter((a) => a.stage === 'dry_hop' && a.grams > 0);
    const grams = sum(...dry.map((a) => gramsOf(working, a)));
    return line('Dry hop in all', 'g/L', 'hop_weight', over(grams, beerOf(working)));
  });
}

/** Share of the dry-hop yield left at the total load. */
export function loadLeft(working: Working, compound: CompoundId): Line {
  const { loadGroup } = working.model.compounds[compound];
  return once(working, `load ${loadGroup}`, () => {
    const half = parameter(working, `dry_hop.half_load.${loadGroup}`);
    const term = over(num(1), sum(num(1), over(by(loadOf(working)), half)));
    return line(`Left of the yield at this load, ${loadGroup}`, 'fraction', 'dry_hop_yield', term);
  });
}

/** Part of its final level that what a dry hop gives has reached; hydrocarbons at their own rate. */
export function extractedOf(working: Working, of?: 'hydrocarbon'): Line {
  const { temp_c, hours, mixed } = working.design.stages.dry_hop!;
  const kind = of ?? (mixed ? 'mixed' : 'static');
  return once(working, `extracted ${kind}`, () => {
    const warmer = minus(
      given('stages.dry_hop.temp_c', temp_c, 'Dry hop at', 'C'),
      num(DRY_HOP_REFERENCE_C),
    );
    const term = minus(
      num(1),
      decay(
        parameter(working, `dry_hop.rate.${kind}`),
        power(parameter(working, 'dry_hop.q10'), over(warmer, num(10))),
        given('stages.dry_hop.hours', hours, 'Contact', 'h'),
      ),
    );
    return line(`Extracted in that time, ${kind}`, 'fraction', 'dry_hop_extraction', term);
  });
}

function dryYield(working: Working, compound: CompoundId): Term {
  const { transferClass, loadGroup } = working.model.compounds[compound];
  const extracted = extractedOf(working, loadGroup === 'hydrocarbon' ? 'hydrocarbon' : undefined);
  return times(parameter(working, `dry_hop.yield.${transferClass}`), by(extracted));
}

/** Summed over a cooling by quadrature: no closed form to fill in. */
function summed(name: string, value: number): Leaf {
  return { ...num(value), id: 'equation/hot_steep_yield', name, unit: '-' };
}

function steepRelative(working: Working): Line {
  return once(working, 'steep relative', () => {
    const steep = working.design.stages.hot_steep!;
    const rate = parameter(working, 'hot_steep.extraction_rate');
    const reference = minus(num(1), decay(rate, num(STEEP_REFERENCE.minutes)));
    const values = defaultValues(working.model);
    const cold = minus(
      num(STEEP_REFERENCE.tempC),
      given('stages.hot_steep.temp_c', steep.temp_c, 'Steep at', 'C'),
    );
    const heat: Term[] = steep.cooling
      ? [
          summed(
            'Extraction summed over rest and cooling',
            heatSum(steep, (c) => hotExtractionRate(c, values), values),
          ),
        ]
      : [
          rate,
          power(num(0.5), over(cold, parameter(working, 'hot_steep.extraction_halving'))),
          given('stages.hot_steep.minutes', steep.minutes, 'Steep', 'min'),
        ];
    const term = over(minus(num(1), decay(...heat)), reference);
    return line('Extracted against 20 min at 95 C', 'fraction', 'hot_steep_yield', term);
  });
}

function steepSpared(working: Working): Line {
  return once(working, 'steep spared', () => {
    const steep = working.design.stages.hot_steep!;
    const share = parameter(working, 'hot_steep.evaporation_share');
    const fall = parameter(working, 'hot_steep.evaporation_temperature');
    const values = defaultValues(working.model);
    const kelvin = (term: Term) => over(num(1), sum(term, num(KELVIN_AT_0_C)));
    const colder = minus(
      kelvin(given('stages.hot_steep.temp_c', steep.temp_c, 'Steep at', 'C')),
      kelvin(num(STEEP_REFERENCE.tempC)),
    );
    const gone: Term = steep.cooling
      ? summed(
          'Evaporation summed over rest and cooling, min of boil',
          heatSum(steep, (c) => steepEvaporation(c, values), values),
        )
      : times(
          share,
          decay(fall, colder),
          given('stages.hot_steep.minutes', steep.minutes, 'Steep', 'min'),
        );
    const term = minus(times(share, num(STEEP_REFERENCE.minutes)), gone);
    return line('Evaporation spared', 'min of boil', 'hot_steep_yield', term);
  });
}

function steepYield(working: Working, compound: CompoundId): Term {
  const { transferClass, boilClass, loadGroup } = working.model.compounds[compound];
  const relative = by(steepRelative(working));
  const open = () =>
    least(
      num(1),
      times(
        parameter(working, `hot_steep.yield.${transferClass}`),
        relative,
        exp(times(parameter(working, `boil.rate.${boilClass}`), by(steepSpared(working)))),
      ),
    );
  if (!working.design.stages.hot_steep!.closed) return open();
  const closed = times(
    parameter(working, `hot_steep.closed_yield.${transferClass}`),
    least(num(1), relative),
  );
  if (loadGroup !== 'oxygenate') return closed;
  const lidless = open();
  return valueOf(lidless) > valueOf(closed) ? most(closed, lidless) : closed;
}

function mashYield(working: Working, compound: CompoundId): Term {
  const { boilClass } = working.model.compounds[compound];
  const { boil_minutes } = working.design.stages.mash!;
  const boil = given('stages.mash.boil_minutes', boil_minutes, 'Boil', 'min');
  return times(
    parameter(working, 'mash.lauter'),
    decay(parameter(working, `boil.rate.${boilClass}`), boil),
  );
}

const WHERE = { mash: 'mash and boil', hot_steep: 'hot steep', dry_hop: 'dry hop' } as const;

/** Share of a compound a stage leaves, before fermentation and load. */
export function yieldOf(working: Working, compound: CompoundId, stage: StageId): Line {
  const of = working.model.compounds[compound];
  const key = `yield ${stage} ${of.transferClass} ${of.boilClass} ${of.loadGroup}`;
  const make = {
    mash: () => ({ equation: 'mash_yield', term: mashYield(working, compound) }) as const,
    hot_steep: () =>
      ({ equation: 'hot_steep_yield', term: steepYield(working, compound) }) as const,
    dry_hop: () => ({ equation: 'dry_hop_yield', term: dryYield(working, compound) }) as const,
  };
  return once(working, key, () => {
    const { equation, term } = make[stage]();
    const name = `Yield of ${compoundSign(compound)} in the ${WHERE[stage]}`;
    return line(name, 'fraction', equation, term);
  });
}

/** Whether what a steep leaves of a compound still goes through fermentation. */
function ferments({ model }: Working, compound: CompoundId, stage: StageId): boolean {
  return stage === 'mash' || model.compounds[compound].steepYieldTo === 'wort';
}

/** Factors on a compound of a stage from fermentation, before any 3SH is acetylated. */
export function survivalOf(working: Working, compound: CompoundId, stage: StageId): Term[] {
  if (stage === 'dry_hop') {
    const live = compound === 'geraniol' && working.design.stages.dry_hop?.live_yeast;
    return live ? [by(leftOnYeast(working))] : [];
  }
  const factors: Term[] = [];
  if (ferments(working, compound, stage)) {
    const { fermentClass } = working.model.compounds[compound];
    factors.push(parameter(working, `ferment.survival.${fermentClass}`));
  }
  const glycosides =
    compound === 'geraniol' || (compound === 'linalool' && ferments(working, compound, stage));
  if (glycosides) factors.push(sum(num(1), parameter(working, 'ferment.glycoside_gain')));
  return factors;
}

/** Factors from geraniol in the hop to the citronellol it becomes; `null` where it does not. */
export function citronellolGain(working: Working, stage: StageId): Term[] | null {
  const { citronellol, geraniol } = working.model.compounds;
  const turned =
    stage === 'dry_hop'
      ? working.design.stages.dry_hop?.live_yeast && by(reducedOnYeast(working))
      : ferments(working, 'geraniol', stage) &&
        times(
          minus(num(1), parameter(working, 'ferment.survival.geraniol')),
          parameter(working, 'ferment.citronellol_gain'),
        );
  if (!turned) return null;
  return [
    by(yieldOf(working, 'geraniol', stage)),
    turned,
    over(num(citronellol.molarMass), num(geraniol.molarMass)),
  ];
}
