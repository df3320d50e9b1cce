// The filled-in equations of the aroma: a compound in the beer as the sum of what each addition brings,
// its odour activity, the signal and the intensity of an axis, and what the shelf leaves of them.
import { STAGES, type AxisId, type CompoundId, type StageId } from '#shared/ids.ts';
import { STAGE_NAMES, spoken } from '#shared/words.ts';
import { KELVIN_AT_0_C } from '#shared/units.ts';
import type { LotAddition } from './design.ts';
import { maltReleased, releasedOf } from './derive-bound.ts';
import { contentOf, lotName } from './derive-lot.ts';
import {
  beerOf,
  given,
  gramsOf,
  once,
  parameter,
  thresholdOf,
  weightOf,
  type Working,
} from './derive-rows.ts';
import { leafOf } from './derive-totals.ts';
import { citronellolGain, loadLeft, survivalOf, yieldOf } from './derive-transfer.ts';
import { compoundName, compoundSign } from './names.ts';
import { GAS_CONSTANT, SHELF_REFERENCE_C } from './shelf.ts';
import {
  by,
  decay,
  exp,
  labelled,
  line,
  minus,
  num,
  over,
  power,
  sum,
  times,
  valueOf,
  type Line,
  type Part,
  type Term,
} from './terms.ts';

/** What of the 3SH stays 3SH, or what it gives of its acetate. */
function acetylated(working: Working, to: 'sh3' | 'sha3'): Term[] {
  const { sh3, sha3 } = working.model.compounds;
  const share = parameter(working, 'yeast.acetate_share');
  return to === 'sh3'
    ? [minus(num(1), share)]
    : [share, over(num(sha3.molarMass), num(sh3.molarMass))];
}

/** The ways by which a gram of a lot at a stage brings a compound, each as factors per g. */
function waysOf(working: Working, compound: CompoundId, lot: LotAddition['lot'], stage: StageId) {
  const ways: { readonly how: string; readonly factors: readonly Term[] }[] = [];
  const content = contentOf(working, lot, compound);
  if (content) {
    const own = [by(content), by(yieldOf(working, compound, stage))];
    const kept = compound === 'sh3' && stage !== 'dry_hop' ? acetylated(working, 'sh3') : [];
    ways.push({
      how: '',
      factors: [...own, ...survivalOf(working, compound, stage), ...kept],
    });
  }
  const geraniol = compound === 'citronellol' && contentOf(working, lot, 'geraniol');
  const gain = geraniol && citronellolGain(working, stage);
  if (gain) ways.push({ how: ' from geraniol', factors: [by(geraniol), ...gain] });
  const free = compound === 'sha3' && stage !== 'dry_hop' && contentOf(working, lot, 'sh3');
  if (free) {
    const passed = [by(yieldOf(working, 'sh3', stage)), ...survivalOf(working, 'sh3', stage)];
    ways.push({
      how: ' from free 3SH',
      factors: [by(free), ...passed, ...acetylated(working, 'sha3')],
    });
  }
  if (compound === 'sh3' || compound === 'sha3') {
    const released = releasedOf(working, lot, stage);
    if (released) {
      const factors = [by(released), ...acetylated(working, compound)];
      ways.push({ how: ' from bound 3SH', factors });
    }
  }
  return ways;
}

/** A compound in the beer, ug/L: one part for each addition and way that brings any of it. */
export function concentrationOf(working: Working, compound: CompoundId): Line {
  return once(working, `concentration ${compound}`, () => {
    const brought: Part[] = [];
    for (const stage of STAGES) {
      for (const addition of working.design.additions) {
        if (addition.stage !== stage || !(addition.grams > 0)) continue;
        const dose = over(gramsOf(working, addition), beerOf(working));
        const load = stage === 'dry_hop' ? [by(loadLeft(working, compound))] : [];
        for (const { how, factors } of waysOf(working, compound, addition.lot, stage)) {
          const where = `${lotName(addition.lot)}, ${spoken(STAGE_NAMES[stage])}${how}`;
          brought.push({ label: where, term: times(dose, ...factors, ...load) });
        }
      }
    }
    if (compound === 'sh3' || compound === 'sha3') {
      const malt = times(by(maltReleased(working)), ...acetylated(working, compound));
      brought.push({ label: 'Malt', term: malt });
    }
    const parts = brought.filter(({ term }) => valueOf(term) > 0);
    return line(`${compoundName(compound)} in the beer`, 'µg/L', 'concentration', labelled(parts));
  });
}

/** Times the threshold; `null` where none in beer is known. */
export function odourActivityOf(working: Working, compound: CompoundId): Line | null {
  const threshold = thresholdOf(working, compound);
  if (!threshold) return null;
  return once(working, `oav ${compound}`, () =>
    line(
      `Odour activity of ${compoundSign(compound)}`,
      '× threshold',
      'odour_activity',
      over(by(concentrationOf(working, compound)), threshold),
    ),
  );
}

function signalBy(
  working: Working,
  axis: AxisId,
  activityOf: (compound: CompoundId) => Line | null,
): Part[] {
  const parts: Part[] = [];
  for (const { driver, axis: of, weight } of working.model.weights) {
    if (of !== axis) continue;
    const share = weightOf(axis, driver, weight);
    if (driver === 'leaf') {
      const leaf = over(by(leafOf(working)), parameter(working, 'leaf.grassy_threshold'));
      parts.push({ label: 'Leaf', term: times(share, leaf) });
      continue;
    }
    const activity = activityOf(driver);
    if (activity) parts.push({ label: compoundName(driver), term: times(share, by(activity)) });
  }
  return parts
    .filter(({ term }) => valueOf(term) > 0)
    .sort((a, b) => valueOf(b.term) - valueOf(a.term));
}

/** Signal of an axis: its parts are compounds, the strongest first. */
export function signalOf(working: Working, axis: AxisId, axisName: string): Line {
  return once(working, `signal ${axis}`, () => {
    const parts = signalBy(working, axis, (c) => odourActivityOf(working, c));
    return line(`Signal of ${spoken(axisName)}`, '', 'signal', labelled(parts));
  });
}

export function intensityOf(working: Working, axis: AxisId, axisName: string): Line {
  return once(working, `intensity ${axis}`, () => {
    const term = power(by(signalOf(working, axis, axisName)), parameter(working, 'aroma.stevens'));
    return line(`Intensity of ${spoken(axisName)}`, '', 'intensity', term);
  });
}

/** A compound after months on the shelf, ug/L. */
export function shelfOf(working: Working, compound: CompoundId, months: number): Line {
  return once(working, `shelf ${compound} ${months}`, () => {
    const { boilClass } = working.model.compounds[compound];
    const kept = working.design.batch.shelf_temp_c ?? SHELF_REFERENCE_C;
    const rate = once(working, `shelf rate ${boilClass}`, () => {
      const kelvin = (term: Term) => over(num(1), sum(term, num(KELVIN_AT_0_C)));
      const colder = minus(
        kelvin(given('batch.shelf_temp_c', kept, 'Kept at', 'C')),
        kelvin(num(SHELF_REFERENCE_C)),
      );
      const energy = over(parameter(working, `shelf.energy.${boilClass}`), num(GAS_CONSTANT));
      const warmth = exp(times(num(-1), energy, colder));
      const term = times(parameter(working, `shelf.rate.${boilClass}`), warmth);
      return line(`Loss of ${compoundSign(compound)} on the shelf`, '1/month', 'shelf', term);
    });
    const past = given('shelf.months', months, 'On the shelf', 'months');
    const term = times(by(concentrationOf(working, compound)), decay(by(rate), past));
    return line(`${compoundName(compound)} after ${months} months`, 'µg/L', 'shelf', term);
  });
}

/** Intensity of an axis after months on the shelf. */
export function shelfAxisOf(
  working: Working,
  axis: AxisId,
  axisName: string,
  months: number,
): Line {
  return once(working, `shelf axis ${axis} ${months}`, () => {
    const activity = (compound: CompoundId) => {
      const threshold = thresholdOf(working, compound);
      if (!threshold) return null;
      const left = by(shelfOf(working, compound, months));
      const name = `Odour activity of ${compoundSign(compound)} by then`;
      return line(name, '× threshold', 'odour_activity', over(left, threshold));
    };
    const parts = labelled(signalBy(working, axis, activity));
    const name = `${axisName} after ${months} months`;
    const signal = line(`Signal of ${spoken(axisName)} by then`, '', 'signal', parts);
    const term = power(by(signal), parameter(working, 'aroma.stevens'));
    return line(name, '', 'shelf_axes', term);
  });
}
