// Decides what 1 g of a lot holds: compounds, alpha acids, bound thiols, and what storage has left of them.
// Figures of the table count as those of the harvest; figures of the lot's own analysis count as those of today
// unless the age of the analysis is given. Free and bound thiols do not age: no loss rate was found.
import { OIL_COMPOUNDS, analyteOf, isThiol, type AnalyteId, type CompoundId } from '#shared/ids.ts';
import { WHOLE_OIL_PCT } from '#shared/schemas/lot.ts';
import type { Lot } from './composition.ts';
import { compoundSign } from '#engine/tables/names.ts';
import { fixedParameter, parameter, type Lines } from '#engine/symbols/rows.ts';
import {
  decay,
  least,
  line,
  ln,
  log10,
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
import {
  boundSh3,
  cysShare,
  figureOf,
  isOwn,
  keepingOf,
  lotName,
  storageLeaf,
  unjudgedFigure,
} from './figures.ts';

/** Temperatures the loss rates of the two packings are given for, C. */
export const REFERENCE_C = { sealed: 4, opened: 20 } as const;
export const KEEPING_MONTHS = 6;
/**
 * Smallest share left that the storage index can show: a higher index would mean that all alpha acids are lost.
 */
export const LEAST_LEFT = 0.001;
/** Alpha acids of 1 g of hop, mg, for each % of them. */
export const MG_PER_G_PER_PCT = 10;
/** Concentration of a hop in ug/g from total oil in mL/100 g and a share in % of oil. */
const UG_PER_G_OF_OIL_SHARE = 100;
/**
 * Stands for the sum of the other parts of the oil, % of oil, where each of them was drawn as 0, so that a
 * quotient stays finite.
 */
const NO_OIL_PCT = 1e-9;

/**
 * A figure of the variety converted to the product (form factor); a figure of the lot's own analysis is already
 * of the product.
 */
function inProduct(
  { model }: Lines,
  lot: Lot,
  analyte: AnalyteId,
  figure: Leaf,
  of: 'concentration' | 'bound_thiols',
): Term {
  return isOwn(lot, analyte) ? figure : times(figure, parameter(model, `form.${lot.form}.${of}`));
}

/**
 * Loss rate of alpha acids, 1/month: k_ref 2^((T - T_ref)/doubling), times the variety's rate relative to the
 * usual one, -ln(kept)/6 months; `null` where neither temperature nor packing is given. Sources: RUT23A
 * (rates), GARETZ94 (temperature).
 */
function lossRate(lines: Lines, lot: Lot): Line | null {
  const { packed } = lot.storage ?? {};
  const temp = storageLeaf(lot, 'temp_c', 'Kept at');
  if (!temp || packed === undefined) return null;
  const { model } = lines;
  return lines.onceOf(lot, 'rate', () => {
    const factors: Term[] = [
      parameter(model, `storage.alpha_rate.${packed}`),
      power(
        num(2),
        over(minus(temp, num(REFERENCE_C[packed])), parameter(model, 'storage.doubling')),
      ),
    ];
    const keeping = keepingOf(model, lot);
    if (keeping) {
      const own = over(
        times(num(-1), ln(over(least(num(100), keeping), num(100)))),
        num(KEEPING_MONTHS),
      );
      factors.push(over(own, fixedParameter(model, 'storage.alpha_rate.opened')));
    }
    return line(`Loss rate of ${lotName(lot)}`, '1/month', 'storage', times(...factors));
  });
}

/** The day since which a figure has aged: that of the lot's own analysis, or the harvest. */
function sinceOf(lot: Lot, analyte: AnalyteId): 'harvest' | 'analysis' {
  return isOwn(lot, analyte) ? 'analysis' : 'harvest';
}

/**
 * Age of a figure as -ln of the share of alpha acids left since it was taken: by the storage index where it is
 * known (lost % = 110 log10(HSI/0.25), NICK79), else by months; `null` where neither is known.
 */
export function ageOf(lines: Lines, lot: Lot, since: 'harvest' | 'analysis'): Line | null {
  return lot.storage ? ageOfKept(lines, lot, since) : null;
}

function ageOfKept(lines: Lines, lot: Lot, since: 'harvest' | 'analysis'): Line | null {
  const { model } = lines;
  const named = (term: Term) =>
    line(`Age of ${lotName(lot)} since ${since}`, 'ln of what is lost', 'storage', term);
  const index = storageLeaf(lot, 'storage_index', 'Storage index');
  if (since === 'harvest' && index) {
    return lines.onceOf(lot, `age ${since}`, () => {
      const tenfold = log10(over(index, parameter(model, 'storage.index_fresh')));
      const slope = over(parameter(model, 'storage.index_slope'), num(100));
      const left = least(num(1), most(num(LEAST_LEFT), minus(num(1), times(slope, tenfold))));
      return named(times(num(-1), ln(left)));
    });
  }
  const rate = lossRate(lines, lot);
  const field = since === 'harvest' ? 'months' : 'months_since_analysis';
  const past = storageLeaf(lot, field, `Months since ${since}`);
  if (!rate || !past || past.value === 0) return null;
  return lines.onceOf(lot, `age ${since}`, () => named(times(rate, past)));
}

/** Loss rate of the oil as a multiple of that of alpha acids, dimensionless. */
function oilOverAlpha({ model }: Lines, lot: Lot): Leaf {
  return parameter(model, `storage.oil_over_alpha.${lot.storage?.packed ?? 'opened'}`);
}

/** Share of alpha acids that storage has left, 0 to 1; `null` where it took nothing. */
export function alphaLeft(lines: Lines, lot: Lot): Line | null {
  if (!figureOf(lines.model, lot, 'alpha_pct')) return null;
  const age = ageOf(lines, lot, sinceOf(lot, 'alpha_pct'));
  if (!age) return null;
  return lines.onceOf(lot, 'alpha left', () =>
    line(`Left of the alpha acids of ${lotName(lot)}`, 'fraction', 'storage', decay(age)),
  );
}

/**
 * Share that storage has left of the total oil, or of an oil compound's content, 0 to 1; `null` where it took
 * nothing. Total oil falls as exp(-x), a component's share of it as exp(-(class - 1) x), each with the age of
 * its own figure. Age never raises a content.
 */
export function oilLeft(lines: Lines, lot: Lot, compound: CompoundId | null): Line | null {
  return lot.storage ? oilLeftOfKept(lines, lot, compound) : null;
}

function oilLeftOfKept(lines: Lines, lot: Lot, compound: CompoundId | null): Line | null {
  const { model } = lines;
  const share = compound && analyteOf(compound);
  if (!figureOf(model, lot, 'total_oil_ml_per_100g')) return null;
  if (share && !figureOf(model, lot, share)) return null;
  const boilClass = compound && model.compounds[compound].boilClass;
  if (boilClass === 'msp4' || boilClass === 'sh3') return null;
  const ofOil = ageOf(lines, lot, sinceOf(lot, 'total_oil_ml_per_100g'));
  const ofShare = share ? ageOf(lines, lot, sinceOf(lot, share)) : ofOil;
  if (!ofOil && !ofShare) return null;
  const name = compound ? compoundSign(compound) : 'total oil';
  return lines.onceOf(lot, `oil left ${name}`, () => {
    const faster = oilOverAlpha(lines, lot);
    const lossClass = boilClass && parameter(model, `storage.oil_class.${boilClass}`);
    const whole = (): Term => {
      if (!lossClass) return decay(ofOil!, faster);
      if (ofOil === ofShare) return decay(lossClass, ofOil!, faster);
      const oilTerm = ofOil ? decay(ofOil, faster) : num(1);
      const own = minus(lossClass, num(1));
      return least(num(1), times(oilTerm, ofShare ? decay(own, ofShare, faster) : num(1)));
    };
    return line(`Left of the ${name} of ${lotName(lot)}`, 'fraction', 'storage', whole());
  });
}

/**
 * Factor that keeps the parts of an oil within 100 %: parts of the table are scaled to what the analysed parts
 * leave, analysed parts only where they alone exceed 100 %. It is 1 in most lots.
 */
function room(lines: Lines, lot: Lot, ofOwn: boolean): Line {
  return lines.onceOf(lot, `room ${ofOwn}`, () => {
    const known = OIL_COMPOUNDS.map(analyteOf).filter((a) => lot.figures[a]);
    // The shares are only compared with each other here, so their evidence status does not count for this line.
    const sumOf = (own: boolean) =>
      sum(
        ...known
          .filter((a) => isOwn(lot, a) === own)
          .map((a) => unjudgedFigure(lines.model, lot, a)),
      );
    const left = ofOwn
      ? over(num(WHOLE_OIL_PCT), sumOf(true))
      : over(
          most(num(0), minus(num(WHOLE_OIL_PCT), sumOf(true))),
          most(sumOf(false), num(NO_OIL_PCT)),
        );
    const name = ofOwn
      ? `Room the oil of ${lotName(lot)} leaves to the parts analysed`
      : `Room the analysis of ${lotName(lot)} leaves to other parts of its oil`;
    return line(name, 'fraction', 'content', least(num(1), left), { silentAtOne: true });
  });
}

/** Mass of 1 % of the oil in 1 g of the lot, ug; `null` where the total oil is not known. */
function oilOf(lines: Lines, lot: Lot): Line | null {
  const { model } = lines;
  const oil = figureOf(model, lot, 'total_oil_ml_per_100g');
  return lines.onceOf(lot, 'oil', () => {
    if (!oil) return null;
    const term = times(
      num(UG_PER_G_OF_OIL_SHARE),
      inProduct(lines, lot, 'total_oil_ml_per_100g', oil, 'concentration'),
      parameter(model, 'oil.density'),
      parameter(model, 'oil.area_to_mass'),
    );
    return line(`1 % of the oil of ${lotName(lot)}`, 'µg/g', 'content', term);
  });
}

/** Free compound in 1 g of the lot, ug/g; `null` where the compound or the total oil is not known. */
export function contentOf(lines: Lines, lot: Lot, compound: CompoundId): Line | null {
  return lines.onceOf(lot, compound, () => {
    const analyte = analyteOf(compound);
    const figure = figureOf(lines.model, lot, analyte);
    if (!figure) return null;
    const name = `${compoundSign(compound)} in ${lotName(lot)}`;
    if (isThiol(compound)) {
      const term = over(inProduct(lines, lot, analyte, figure, 'concentration'), num(1000));
      return line(name, 'µg/g', 'content', term, { kept: true });
    }
    const oil = oilOf(lines, lot);
    if (!oil) return null;
    const left = oilLeft(lines, lot, compound);
    const factors = [oil, figure, room(lines, lot, isOwn(lot, analyte)), ...(left ? [left] : [])];
    return line(name, 'µg/g', 'content', times(...factors), { kept: true });
  });
}

/** Alpha acids of the lot, mg/g; `null` where they are not known. */
export function alphaOf(lines: Lines, lot: Lot): Line | null {
  const alpha = figureOf(lines.model, lot, 'alpha_pct');
  if (!alpha) return null;
  return lines.onceOf(lot, 'alpha', () => {
    const left = alphaLeft(lines, lot);
    const term = times(
      inProduct(lines, lot, 'alpha_pct', alpha, 'concentration'),
      num(MG_PER_G_PER_PCT),
      ...(left ? [left] : []),
    );
    return line(`Alpha acids in ${lotName(lot)}`, 'mg/g', 'alpha_content', term, { kept: true });
  });
}

/** Bound 3SH of the lot, ug/g: as measured, else by the class of the variety. */
export function boundOf(lines: Lines, lot: Lot): { readonly cys: Line; readonly g: Line } {
  const { model } = lines;
  const measuredCys = figureOf(model, lot, 'cys_sh3_mg_per_kg');
  const g = lines.onceOf(lot, 'g', () => {
    const term = inProduct(lines, lot, 'g_sh3_mg_per_kg', boundSh3(model, lot), 'bound_thiols');
    return line(`Glutathionylated 3SH in ${lotName(lot)}`, 'µg/g', 'bound_content', term, {
      kept: true,
    });
  });
  const cys = lines.onceOf(lot, 'cys', () => {
    const term = measuredCys
      ? inProduct(lines, lot, 'cys_sh3_mg_per_kg', measuredCys, 'bound_thiols')
      : times(g, cysShare(model, lot));
    return line(`Cysteinylated 3SH in ${lotName(lot)}`, 'µg/g', 'bound_content', term, {
      kept: true,
    });
  });
  return { cys, g };
}

/** A figure of a lot that storage lowers; for an oil component it is the content in the hop. */
export type AgeingFigure = 'alpha_pct' | 'total_oil_ml_per_100g' | (typeof OIL_COMPOUNDS)[number];

/** A figure as stated, and the share of it that storage has left. */
export interface Ageing {
  /** As stated: alpha acids in %, total oil in mL/100 g, an oil compound in mg per 100 g. */
  readonly stated: Term;
  /** `null` where storage took nothing. */
  readonly left: Line | null;
  /** The figure as it is now. */
  readonly now: Line;
  readonly since: 'harvest' | 'analysis';
}

/** How a figure of the lot aged to its value today; `null` where nobody gave the figure. */
export function ageingOf(lines: Lines, lot: Lot, of: AgeingFigure): Ageing | null {
  const { model } = lines;
  const oil = figureOf(model, lot, 'total_oil_ml_per_100g');
  const aged = (
    what: string,
    unit: string,
    stated: readonly Term[],
    left: Line | null,
    since: Ageing['since'],
  ): Ageing => {
    const term = times(...(left ? [...stated, left] : stated));
    const now = line(`${what} of ${lotName(lot)} now`, unit, 'storage', term);
    return { stated: times(...stated), left, now, since };
  };
  if (of === 'alpha_pct') {
    const alpha = figureOf(model, lot, of);
    return alpha && aged('Alpha acids', '%', [alpha], alphaLeft(lines, lot), sinceOf(lot, of));
  }
  if (of === 'total_oil_ml_per_100g') {
    return oil && aged('Total oil', 'mL/100 g', [oil], oilLeft(lines, lot, null), sinceOf(lot, of));
  }
  const analyte = analyteOf(of);
  const share = figureOf(model, lot, analyte);
  if (!oil || !share) return null;
  const density = parameter(model, 'oil.density');
  const own = isOwn(lot, analyte);
  const stated = [oil, share, room(lines, lot, own), density, num(10)];
  const since = own && isOwn(lot, 'total_oil_ml_per_100g') ? 'analysis' : 'harvest';
  return aged(compoundSign(of), 'mg/100 g', stated, oilLeft(lines, lot, of), since);
}
