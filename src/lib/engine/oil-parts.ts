// The parts of an oil never add up to more than the whole. Where a lot's own analysis leaves less room
// than the figures of the table for its other parts would take, those give way in proportion: at the
// centre as in every draw.
import { ANALYTES, OIL_COMPOUNDS, analyteOf } from '#shared/ids.ts';
import { WHOLE_OIL_PCT } from '#shared/schemas/brief.ts';
import type { Lot } from './composition.ts';

const OIL_PARTS = OIL_COMPOUNDS.map((c) => ANALYTES.indexOf(analyteOf(c)));

/** Factors, 0 to 1, on the parts of a lot's oil, by where their figures are from. */
export interface OilFactors {
  /** On figures of its own analysis: below 1 only where they alone exceed the whole. */
  readonly own: number;
  /** On figures of the table and on estimates. */
  readonly table: number;
}

/** @param own sum of the parts analysed, % of oil. @param table sum of the others, % of oil. */
function oilFactors(own: number, table: number): OilFactors {
  if (own + table <= WHOLE_OIL_PCT) return { own: 1, table: 1 };
  return {
    own: Math.min(1, WHOLE_OIL_PCT / own),
    table: table > 0 ? Math.max(0, WHOLE_OIL_PCT - own) / table : 1,
  };
}

/** The factors at the central figures of a lot. */
export function oilFactorsOf({ figures }: Pick<Lot, 'figures'>): OilFactors {
  let own = 0;
  let table = 0;
  for (const compound of OIL_COMPOUNDS) {
    const figure = figures[`${compound}_pct_of_oil`];
    if (figure?.perProduct) own += figure.central;
    else table += figure?.central ?? 0;
  }
  return oilFactors(own, table);
}

/**
 * Brings the parts of one row of figures, by analyte index from `start`, back to the whole; NaN, a part
 * nobody gave, stays.
 */
export function closeOil(figures: Float64Array, start: number, perProduct: Uint8Array): void {
  let own = 0;
  let table = 0;
  for (const i of OIL_PARTS) {
    const share = figures[start + i]!;
    if (Number.isNaN(share)) continue;
    if (perProduct[i]) own += share;
    else table += share;
  }
  const factors = oilFactors(own, table);
  if (factors.own === 1 && factors.table === 1) return;
  for (const i of OIL_PARTS) figures[start + i]! *= perProduct[i] ? factors.own : factors.table;
}
