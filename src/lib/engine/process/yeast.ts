// What yeast does to hop compounds: survival, geraniol to citronellol, glycosides, release of bound 3SH and its
// acetate. Geraniol is lost in two ways at the same time: uptake and blow-off happen only during the
// fermentation, reduction to citronellol as long as yeast is present, so also in green beer.
import { HOURS_PER_DAY } from '#shared/units.ts';
import type { CompoundId } from '#shared/ids.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { boundOf } from '#engine/lot/content.ts';
import { lotName } from '#engine/lot/figures.ts';
import { condition } from '#engine/symbols/rows.ts';
import {
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
import type { Process } from './process.ts';
import type { StageTerms, YeastTerms } from './stage.ts';

/** Temperature, C, at which `ferment.maturation_rate` gives the reduction by yeast after the fermentation. */
export const MATURATION_REFERENCE_C = 20;

/**
 * What a whole fermentation makes of compounds that are in the wort at pitching. `ferment.citronellol_gain` of
 * the lost geraniol becomes citronellol, mole for mole (TAKOI11, KING00); glycosides add linalool and geraniol
 * (RETT18).
 * @param ferments whether a compound's yield does not include the fermentation yet; other yields are from hop
 * to beer.
 */
export function throughFermentation(
  process: Process,
  ferments: (compound: CompoundId) => boolean,
): YeastTerms {
  const glycosides = sum(num(1), process.parameter('ferment.glycoside_gain'));
  return {
    left: (compound) => {
      const factors: Term[] = [];
      if (ferments(compound)) {
        const { fermentClass } = process.model.compounds[compound];
        factors.push(process.parameter(`ferment.survival.${fermentClass}`));
      }
      const bound = compound === 'geraniol' || (compound === 'linalool' && ferments(compound));
      return bound ? [...factors, glycosides] : factors;
    },
    citronellol: ferments('geraniol')
      ? [
          minus(num(1), process.parameter('ferment.survival.geraniol')),
          process.parameter('ferment.citronellol_gain'),
        ]
      : null,
    acetylates: true,
  };
}

/** No live yeast: compounds stay as they are. */
export const NO_YEAST: YeastTerms = { left: () => [], citronellol: null, acetylates: false };

/** A dry hop on live yeast, with its fields as the document gave them. */
export interface OnYeast {
  readonly key: string;
  readonly hours: Leaf;
  readonly tempC: Leaf;
  /** Share of the fermentation still to come when the hops go in, 0 to 1. */
  readonly fermentationLeft: Term;
}

/**
 * What live yeast makes of geraniol from a dry hop; other compounds stay as they are (TAKOI14). The rest of the
 * fermentation takes its share, then reduction continues alone: citronellol kept rising in green beer (TAKOI10,
 * second-hand).
 */
export function onLiveYeast(process: Process, dryHop: OnYeast): YeastTerms {
  const { key, hours, tempC, fermentationLeft } = dryHop;
  const survival = process.parameter('ferment.survival.geraniol');
  const gain = process.parameter('ferment.citronellol_gain');
  const after = process.once(`on yeast after ${key}`, () => {
    const days = process.parameter('ferment.days');
    const still = times(fermentationLeft, days);
    const warmer = minus(tempC, num(MATURATION_REFERENCE_C));
    const term = times(
      process.parameter('ferment.maturation_rate'),
      power(process.parameter('ferment.maturation_q10'), over(warmer, num(10))),
      over(most(num(0), minus(over(hours, num(HOURS_PER_DAY)), still)), days),
    );
    return line('On yeast after it, in fermentations', '-', 'fermentation', term);
  });
  const green = process.once(`geraniol of green beer ${key}`, () => {
    const term = power(survival, fermentationLeft);
    return line('Geraniol left at the end of fermentation', 'fraction', 'fermentation', term);
  });
  const left = process.once(`left on yeast ${key}`, () => {
    const term = times(green, power(survival, times(gain, after)));
    return line('Geraniol left on the yeast', 'fraction', 'fermentation', term);
  });
  const reduced = process.once(`reduced on yeast ${key}`, () => {
    const term = sum(times(minus(num(1), green), gain), minus(green, left));
    return line('Geraniol turned into citronellol', 'fraction', 'fermentation', term);
  });
  return {
    left: (compound) => (compound === 'geraniol' ? [left] : []),
    citronellol: [reduced],
    acetylates: false,
  };
}

/** Factors on 3SH: to the part that stays 3SH, or to the acetate that the other part becomes, mole for mole. */
export function acetylated(process: Process, to: 'sh3' | 'sha3'): Term[] {
  const { sh3, sha3 } = process.model.compounds;
  const share = process.parameter('yeast.acetate_share');
  return to === 'sh3'
    ? [minus(num(1), share)]
    : [share, over(num(sha3.molarMass), num(sh3.molarMass))];
}

/** Factors from bound 3SH at pitching to the 3SH that yeast frees from it. */
function freed(process: Process, of: 'cys' | 'g'): Term[] {
  const { yeast } = process.batch;
  return [
    process.parameter(`precursor.${of}_to_sh3`),
    process.parameter(`yeast.${yeast}.${of}_release`),
  ];
}

/**
 * 3SH that yeast frees from 1 g of the lot at a stage, ug/g, before any of it is acetylated; `null` where it
 * frees none. Conversions: CHEN22 and MICH19, from memory, to an order of magnitude.
 */
export function releasedOf(process: Process, lot: Lot, stage: StageTerms): Line | null {
  const { bound } = stage;
  if (!bound) return null;
  return process.onceOf(lot, `released ${stage.use.key}`, () => {
    const { cys, g } = boundOf(process.inLots, lot);
    const term = sum(
      times(cys, ...bound.cys, ...freed(process, 'cys')),
      times(g, ...bound.g, ...freed(process, 'g')),
    );
    const name = `3SH the yeast frees of ${lotName(lot)} in the ${stage.where}`;
    return line(name, 'µg/g', 'bound_release', term);
  });
}

/** 3SH that yeast frees from precursors of the malt, ug/L. */
export function maltReleased(process: Process): Line {
  return process.once('malt', () => {
    const malt = condition('batch.malt_g_per_l', process.batch.malt_g_per_l, 'Malt', 'g/L');
    const term = sum(
      times(
        malt,
        process.parameter('malt.cys_sh3'),
        process.parameter('precursor.mash_release'),
        ...freed(process, 'cys'),
      ),
      times(malt, process.parameter('malt.g_sh3'), ...freed(process, 'g')),
    );
    return line('3SH the yeast frees of the malt', 'µg/L', 'bound_release', term);
  });
}
