// The filled-in equations of bitterness: alpha acids isomerized by heat, what of it reaches the beer,
// and what a dry hop adds or takes. Held against the engine by a test.
import type { StageId } from '#shared/ids.ts';
import { KELVIN_AT_0_C } from '#shared/units.ts';
import { steepIsoFraction } from './bitterness.ts';
import { alphaOf, lotName } from './derive-lot.ts';
import { beerOf, given, gramsOf, once, parameter, type Working } from './derive-rows.ts';
import { extractedOf, loadOf } from './derive-transfer.ts';
import { defaultValues } from './model.ts';
import {
  by,
  decay,
  exp,
  labelled,
  least,
  line,
  minus,
  num,
  over,
  sum,
  times,
  type Leaf,
  type Line,
  type Part,
  type Term,
} from './terms.ts';

const BOIL_C = 100;

/** Rate of one of the two reactions at a temperature, 1/min. */
function rateOf(working: Working, step: '1' | '2', name: string, temp: Leaf): Line {
  return once(working, `iso rate ${step} ${temp.value}`, () => {
    const kelvin = sum(temp, num(KELVIN_AT_0_C));
    const fall = over(parameter(working, `iso.b${step}`), kelvin);
    const term = times(parameter(working, `iso.a${step}`), exp(times(num(-1), fall)));
    return line(name, '1/min', 'iso_fraction', term);
  });
}

/** Iso-alpha acids per alpha acid from the heat of a stage. */
function isomerized(working: Working, stage: 'mash' | 'hot_steep'): Line {
  return once(working, `isomerized ${stage}`, () => {
    const { mash, hot_steep: steep } = working.design.stages;
    const name = stage === 'mash' ? 'Isomerized in the boil' : 'Isomerized in the hot steep';
    if (stage === 'hot_steep' && steep?.cooling) {
      const value = steepIsoFraction(steep, defaultValues(working.model));
      const term: Leaf = {
        ...num(value),
        id: 'equation/iso_fraction',
        name: 'Integrated over rest and cooling',
        unit: 'fraction',
      };
      return line(name, 'fraction', 'iso_fraction', term);
    }
    const temp =
      stage === 'mash'
        ? num(BOIL_C)
        : given('stages.hot_steep.temp_c', steep!.temp_c, 'Steep at', 'C');
    const minutes =
      stage === 'mash'
        ? given('stages.mash.boil_minutes', mash!.boil_minutes, 'Boil', 'min')
        : given('stages.hot_steep.minutes', steep!.minutes, 'Steep', 'min');
    const formed = by(rateOf(working, '1', 'Isomerization of alpha acids', temp));
    const lost = by(rateOf(working, '2', 'Loss of iso-alpha acids', temp));
    const term = times(
      over(formed, minus(lost, formed)),
      minus(decay(formed, minutes), decay(lost, minutes)),
    );
    return line(name, 'fraction', 'iso_fraction', term);
  });
}

/** What each addition at a stage puts in, per L: parts with their labels. */
function dosed(
  working: Working,
  stage: StageId,
  factorsOf: (a: Working['design']['additions'][number]) => readonly Term[] | null,
): Part[] {
  return working.design.additions
    .filter((a) => a.stage === stage && a.grams > 0)
    .flatMap((a) => {
      const factors = factorsOf(a);
      const dose = over(gramsOf(working, a), beerOf(working));
      return factors ? [{ label: lotName(a.lot), term: times(dose, ...factors) }] : [];
    });
}

/** Iso-alpha acids of a hot stage in the beer, mg/L; `null` where it takes no hops. */
function isoOf(working: Working, stage: 'mash' | 'hot_steep'): Line | null {
  const toKettle = stage === 'mash' ? [parameter(working, 'mash.alpha_to_kettle')] : [];
  const parts = dosed(working, stage, ({ lot }) => {
    const alpha = alphaOf(working, lot);
    return alpha && [by(alpha), ...toKettle];
  });
  if (parts.length === 0) return null;
  const at = stage === 'mash' ? 'mash' : 'hot steep';
  return once(working, `iso ${stage}`, () => {
    const put = line(`Alpha acids from the ${at}`, 'mg/L', 'iso_alpha', labelled(parts));
    const hasDry = working.design.additions.some((a) => a.stage === 'dry_hop' && a.grams > 0);
    const adsorbed = hasDry
      ? [decay(parameter(working, 'dry_hop.iso_adsorption'), by(loadOf(working)))]
      : [];
    const term = times(
      least(by(put), parameter(working, 'iso.hot_alpha_cap')),
      by(isomerized(working, stage)),
      parameter(working, 'iso.to_beer'),
      ...adsorbed,
    );
    return line(`Iso-alpha acids from the ${at}`, 'mg/L', 'iso_alpha', term);
  });
}

/** Humulinones of the dry hop in the beer, mg/L. */
function humulinones(working: Working): Line {
  return once(working, 'humulinones', () => {
    const parts = dosed(working, 'dry_hop', ({ lot }) => [
      parameter(working, 'dry_hop.humulinones'),
      parameter(working, `form.${lot.form}.concentration`),
      parameter(working, 'dry_hop.humulinone_transfer'),
      by(extractedOf(working)),
    ]);
    return line('Humulinones from the dry hop', 'mg/L', 'dry_bitter', labelled(parts));
  });
}

/** Alpha acids of the dry hop in the beer, mg/L. */
function alphaDry(working: Working): Line {
  return once(working, 'alpha dry', () => {
    const parts = dosed(working, 'dry_hop', ({ lot }) => {
      const alpha = alphaOf(working, lot);
      return (
        alpha && [by(alpha), parameter(working, 'dry_hop.alpha_transfer'), by(extractedOf(working))]
      );
    });
    const term = least(labelled(parts), parameter(working, 'dry_hop.alpha_cap'));
    return line('Alpha acids from the dry hop', 'mg/L', 'dry_bitter', term);
  });
}

/** Bitterness: as the spectrophotometer reads it, or as tasted. */
export function bitternessOf(working: Working, as: 'ibu' | 'bitter_taste'): Line {
  return once(working, as, () => {
    const weights = as === 'ibu' ? 'ibu.weight' : 'taste.weight';
    const parts: Part[] = (['mash', 'hot_steep'] as const).flatMap((stage) => {
      const iso = isoOf(working, stage);
      return iso ? [{ label: iso.name, term: by(iso) }] : [];
    });
    if (working.design.additions.some((a) => a.stage === 'dry_hop' && a.grams > 0)) {
      const cold = [
        { of: humulinones(working), weight: parameter(working, `${weights}.humulinone`) },
        { of: alphaDry(working), weight: parameter(working, `${weights}.alpha`) },
      ];
      for (const { of, weight } of cold) {
        parts.push({ label: of.name, term: times(weight, by(of)) });
      }
    }
    return as === 'ibu'
      ? line('Bitterness', 'IBU', 'ibu', labelled(parts))
      : line('Bitterness as tasted', 'mg/L', 'bitter_taste', labelled(parts));
  });
}
