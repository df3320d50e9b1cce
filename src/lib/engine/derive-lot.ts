// The filled-in equations of a lot: what 1 g of it holds of a compound, its alpha acids,
// and what storage has taken. Beside the engine's own arithmetic, and held against it by a test.
import { OIL_COMPOUNDS, analyteOf, isThiol, type CompoundId } from '#shared/ids.ts';
import { WHOLE_OIL_PCT } from '#shared/schemas/brief.ts';
import { KEEPING_MONTHS, LEAST_LEFT, REFERENCE_C, storedOf, type AgedFigure } from './age.ts';
import { findHop, type Lot } from './composition.ts';
import { figureOf, given, keepingLeaf, once, parameter, type Working } from './derive-rows.ts';
import { compoundSign } from './names.ts';
import { oilFactorsOf } from './oil-parts.ts';
import {
  by,
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
} from './terms.ts';

/** A lot as it is told apart from others of its hop. */
export function lotName({ hop, form }: Lot): string {
  return form === 'pellet_90' ? hop : `${hop}, ${form === 'cone' ? 'cone' : 'enriched'}`;
}

const lotKeys = new WeakMap<Lot, number>();
let nextKey = 0;
/** A number of its own for each lot, as part of the name of its lines. */
export function keyOf(lot: Lot): number {
  const key = lotKeys.get(lot) ?? (nextKey += 1);
  lotKeys.set(lot, key);
  return key;
}

/** Whether a figure is of the lot's own analysis. */
const isOwn = (figure: Leaf) => figure.id?.startsWith('input/') ?? false;

/** A figure of a variety brought to the product; a lot's own analysis is of the product already. */
export function inProduct(working: Working, lot: Lot, figure: Leaf, of: 'oil' | 'bound'): Term {
  if (isOwn(figure)) return figure;
  const part = of === 'oil' ? 'concentration' : 'bound_thiols';
  return times(figure, parameter(working, `form.${lot.form}.${part}`));
}

/** Loss rate of alpha acids, 1/month; `null` where nothing is told to go by. */
function lossRate(working: Working, lot: Lot): Line | null {
  const { temp_c, packed } = lot.storage ?? {};
  if (temp_c === undefined || packed === undefined) return null;
  return once(working, `rate ${keyOf(lot)}`, () => {
    const warm = minus(given('storage.temp_c', temp_c, 'Kept at', 'C'), num(REFERENCE_C[packed]));
    const factors: Term[] = [
      parameter(working, `storage.alpha_rate.${packed}`),
      power(num(2), over(warm, parameter(working, 'storage.doubling'))),
    ];
    const hop = findHop(working.model, lot.hop);
    const keeping = lot.keeping && hop && keepingLeaf(hop);
    if (keeping) {
      const own = over(
        times(num(-1), ln(over(least(num(100), keeping), num(100)))),
        num(KEEPING_MONTHS),
      );
      factors.push(over(own, parameter(working, 'storage.alpha_rate.opened')));
    }
    return line(`Loss rate of ${lotName(lot)}`, '1/month', 'storage', times(...factors));
  });
}

/** Natural logarithm of the alpha acids lost since a figure was taken; `null` where none is. */
function ageOf(working: Working, lot: Lot, since: 'harvest' | 'analysis'): Line | null {
  if (!storedOf(working.model, lot)) return null;
  const { storage_index: index, months = 0, months_since_analysis = 0 } = lot.storage!;
  const name = `Age of ${lotName(lot)} since ${since}`;
  if (since === 'harvest' && index !== undefined) {
    return once(working, `age ${keyOf(lot)} ${since}`, () => {
      const measured = given('storage.storage_index', index, 'Storage index', '-');
      const tenfold = log10(over(measured, parameter(working, 'storage.index_fresh')));
      const slope = over(parameter(working, 'storage.index_slope'), num(100));
      const left = least(num(1), most(num(LEAST_LEFT), minus(num(1), times(slope, tenfold))));
      return line(name, 'ln of what is lost', 'storage', times(num(-1), ln(left)));
    });
  }
  const rate = lossRate(working, lot);
  const past = since === 'harvest' ? months : months_since_analysis;
  if (!rate || past === 0) return null;
  const field = since === 'harvest' ? 'months' : 'months_since_analysis';
  return once(working, `age ${keyOf(lot)} ${since}`, () =>
    line(
      name,
      'ln of what is lost',
      'storage',
      times(by(rate), given(`storage.${field}`, past, `Months since ${since}`, 'months')),
    ),
  );
}

const sinceOf = (figure: Leaf) => (isOwn(figure) ? 'analysis' : 'harvest');

/** Share storage left of alpha acids; `null` where it took nothing. */
export function alphaLeft(working: Working, lot: Lot): Line | null {
  const alpha = figureOf(working, lot, 'alpha_pct');
  const age = alpha && ageOf(working, lot, sinceOf(alpha));
  if (!age) return null;
  return once(working, `alpha left ${keyOf(lot)}`, () =>
    line(`Left of the alpha acids of ${lotName(lot)}`, 'fraction', 'storage', decay(by(age))),
  );
}

/** Share storage left of total oil, or of an oil compound's content; `null` where it took nothing. */
export function oilLeft(working: Working, lot: Lot, compound: CompoundId | null): Line | null {
  const oil = figureOf(working, lot, 'total_oil_ml_per_100g');
  const share = compound && figureOf(working, lot, analyteOf(compound));
  if (!oil || (compound && !share)) return null;
  const boilClass = compound && working.model.compounds[compound].boilClass;
  if (boilClass === 'msp4' || boilClass === 'sh3') return null;
  const ofOil = ageOf(working, lot, sinceOf(oil));
  const ofShare = share ? ageOf(working, lot, sinceOf(share)) : ofOil;
  if (!ofOil && !ofShare) return null;
  const name = compound ? compoundSign(compound) : 'total oil';
  return once(working, `oil left ${keyOf(lot)} ${name}`, () => {
    const faster = parameter(working, `storage.oil_over_alpha.${lot.storage?.packed ?? 'opened'}`);
    const lossClass = boilClass && parameter(working, `storage.oil_class.${boilClass}`);
    const whole = (): Term => {
      if (!lossClass) return decay(by(ofOil!), faster);
      if (ofOil === ofShare) return decay(lossClass, by(ofOil!), faster);
      const oilTerm = ofOil ? decay(by(ofOil), faster) : num(1);
      const own = minus(lossClass, num(1));
      return least(num(1), times(oilTerm, ofShare ? decay(own, by(ofShare), faster) : num(1)));
    };
    return line(`Left of the ${name} of ${lotName(lot)}`, 'fraction', 'storage', whole());
  });
}

/** What the parts analysed leave to the others, over their sum; `null` where there is room for all. */
function roomOf(working: Working, lot: Lot): Line | null {
  if (oilFactorsOf(lot).table === 1) return null;
  return once(working, `room ${keyOf(lot)}`, () => {
    // Shares set against each other: how firm they are says nothing of this line.
    const parts = OIL_COMPOUNDS.flatMap((c) => {
      const figure = figureOf(working, lot, analyteOf(c));
      return figure ? [{ ...figure, judged: null }] : [];
    });
    const own = sum(...parts.filter(isOwn));
    const others = sum(...parts.filter((figure) => !isOwn(figure)));
    const name = `Room the analysis of ${lotName(lot)} leaves to other parts of its oil`;
    return line(name, 'fraction', 'content', over(minus(num(WHOLE_OIL_PCT), own), others));
  });
}

/** A part of the oil of a lot, as factors: a figure of the table gives way to those analysed. */
function partOf(working: Working, lot: Lot, figure: Leaf): Term[] {
  const room = isOwn(figure) ? null : roomOf(working, lot);
  return room ? [figure, by(room)] : [figure];
}

const MG_PER_G_PER_PCT = 10;
const UG_PER_G_OF_OIL_SHARE = 100;

/** Free compound in 1 g of the lot, ug/g; `null` where nobody gave a figure for it. */
export function contentOf(working: Working, lot: Lot, compound: CompoundId): Line | null {
  const figure = figureOf(working, lot, analyteOf(compound));
  if (!figure) return null;
  const name = `${compoundSign(compound)} in ${lotName(lot)}`;
  return once(working, `content ${keyOf(lot)} ${compound}`, () => {
    if (isThiol(compound)) {
      const term = over(inProduct(working, lot, figure, 'oil'), num(1000));
      return line(name, 'µg/g', 'content', term);
    }
    const oil = figureOf(working, lot, 'total_oil_ml_per_100g');
    const left = oilLeft(working, lot, compound);
    const factors: Term[] = oil
      ? [
          num(UG_PER_G_OF_OIL_SHARE),
          inProduct(working, lot, oil, 'oil'),
          ...partOf(working, lot, figure),
          parameter(working, 'oil.density'),
          parameter(working, 'oil.area_to_mass'),
          ...(left ? [by(left)] : []),
        ]
      : [num(0)];
    return line(name, 'µg/g', 'content', times(...factors));
  });
}

/** Alpha acids of the lot, mg/g; `null` where nobody gave them. */
export function alphaOf(working: Working, lot: Lot): Line | null {
  const alpha = figureOf(working, lot, 'alpha_pct');
  if (!alpha) return null;
  return once(working, `alpha ${keyOf(lot)}`, () => {
    const left = alphaLeft(working, lot);
    const term = times(
      inProduct(working, lot, alpha, 'oil'),
      num(MG_PER_G_PER_PCT),
      ...(left ? [by(left)] : []),
    );
    return line(`Alpha acids in ${lotName(lot)}`, 'mg/g', 'alpha_content', term);
  });
}

/**
 * A figure of the lot as it is now, after storage, as `agedFigures` tells it: alpha acids in %, total oil
 * in mL/100 g, an oil compound in mg per 100 g; `null` where nobody gave it.
 */
export function agedOf(working: Working, lot: Lot, of: AgedFigure['figure']): Line | null {
  const oil = figureOf(working, lot, 'total_oil_ml_per_100g');
  const aged = (what: string, unit: string, stated: readonly Term[], left: Line | null) => {
    const factors = left ? [...stated, by(left)] : stated;
    return line(`${what} of ${lotName(lot)} now`, unit, 'storage', times(...factors));
  };
  if (of === 'alpha_pct') {
    const alpha = figureOf(working, lot, 'alpha_pct');
    return alpha && aged('Alpha acids', '%', [alpha], alphaLeft(working, lot));
  }
  if (of === 'total_oil_ml_per_100g') {
    return oil && aged('Total oil', 'mL/100 g', [oil], oilLeft(working, lot, null));
  }
  const share = figureOf(working, lot, analyteOf(of));
  if (!oil || !share) return null;
  const stated = [oil, ...partOf(working, lot, share), parameter(working, 'oil.density'), num(10)];
  return aged(compoundSign(of), 'mg/100 g', stated, oilLeft(working, lot, of));
}
