// Odour activity values around the threshold: bars start at 1, grow right when a compound is
// smelled and left when it is not. A log scale has no zero, so 1 is the only honest base.
import { COMPOUNDS, type CompoundId } from '#shared/ids.ts';
import type { CompoundPoint } from '#shared/answers/answer.ts';
import type { Band } from '#shared/answers/prediction.ts';

/** Least odour activity drawn; anything lower stands on the edge and is named in figures. */
export const OAV_FLOOR = 0.01;

export interface OdourBar {
  readonly compound: CompoundId;
  readonly oav: number;
  /** Places across the chart, fractions of its width; no band where none was drawn. */
  readonly at: { readonly value: number; readonly band: Band | null };
}

export interface OdourChart {
  /** Strongest first; compounds without a threshold in beer have no bar. */
  readonly bars: readonly OdourBar[];
  /** Where the threshold stands, fraction of the width. */
  readonly threshold: number;
  readonly ticks: readonly { readonly value: number; readonly at: number }[];
}

export function odourChart(compounds: Readonly<Record<CompoundId, CompoundPoint>>): OdourChart {
  const known = COMPOUNDS.flatMap((compound) => {
    const { oav, oav_low: low, oav_high: high } = compounds[compound];
    if (oav === null) return [];
    return [{ compound, oav, band: low != null && high != null ? { low, high } : null }];
  });
  const top = Math.max(10, ...known.map((k) => Math.max(k.oav, k.band?.high ?? 0)));
  const decade = 10 ** Math.ceil(Math.log10(top));
  const across = (value: number) => Math.log(value / OAV_FLOOR) / Math.log(decade / OAV_FLOOR);
  const place = (value: number) => across(Math.min(decade, Math.max(OAV_FLOOR, value)));
  const ticks: { value: number; at: number }[] = [];
  for (let power = Math.log10(OAV_FLOOR); power <= Math.log10(decade); power += 1) {
    const value = 10 ** power;
    ticks.push({ value, at: across(value) });
  }
  return {
    bars: known
      .map(({ compound, oav, band }) => ({
        compound,
        oav,
        at: {
          value: place(oav),
          band: band && { low: place(band.low), high: place(band.high) },
        },
      }))
      .sort((a, b) => b.oav - a.oav),
    threshold: across(1),
    ticks,
  };
}
