// Works out how a lot of the stock was kept until today from its harvest, the day it was opened, its pack and
// its temperature, in the form the storage equations take; and what a brief takes of the lot. The caller gives
// today's date.
import { given } from '#shared/given.ts';
import type { ListedLot } from '#shared/lists/lot-list.ts';
import { rangeOf } from '#shared/schemas/ranges.ts';
import { storageSchema, type Candidate, type Storage } from '#shared/schemas/lot.ts';
import type { Months } from '#shared/units.ts';
import { indexAfter, openedMonthsPerSealed } from './ageing.ts';
import { findHop, lotOf } from './composition.ts';
import type { Model } from '#engine/tables/model.ts';

export const DAYS_PER_MONTH = 365.25 / 12;
const MS_PER_DAY = 86_400_000;
/** End of the harvest by hemisphere of the variety's origin; common practice, no source. */
const HARVEST_ENDS = { north: '09-15', south: '03-15' } as const;
const SOUTHERN = /^(AU|NZ|ZA|AR)\b/;

/** Months from one day to another, 0 where the second lies before the first; ISO days like 2026-03-31. */
export function monthsBetween(from: string, to: string): Months {
  const days = (Date.parse(to) - Date.parse(from)) / MS_PER_DAY;
  return Math.max(0, days / DAYS_PER_MONTH);
}

/** How a lot was kept, or which figure is missing to say so. */
export type LotStorage =
  | { readonly known: true; readonly storage: Storage; readonly months: Months | null }
  | { readonly known: false; readonly needs: string };

/** The figure, or the end of what the storage equations take of it. */
function within(value: number, field: 'temp_c' | 'storage_index' | 'months'): number {
  const { min, max } = rangeOf(storageSchema.shape[field]);
  return Math.min(max, Math.max(min, value));
}

/**
 * The storage of a lot today. Of an opened lot, the months before the opening count as those of a sealed pack,
 * converted to months of an opened one that cost as much alpha. A figure beyond the range of the equations
 * counts as the end of the range. Where the lot gives no date, its `storage` as listed holds.
 */
export function storageOfLot(model: Model, lot: ListedLot, today: string): LotStorage {
  const { opened_on, pack, storage_temp_c, storage_index, harvest_year } = lot;
  const south = SOUTHERN.test(findHop(model, lot.hop)?.origin ?? '');
  const harvested =
    harvest_year === undefined
      ? opened_on
      : `${harvest_year}-${HARVEST_ENDS[south ? 'south' : 'north']}`;
  const opened = opened_on !== undefined && opened_on <= today ? opened_on : undefined;
  const packed = opened || pack === 'open' ? 'opened' : pack && 'sealed';
  const index = storage_index === undefined ? undefined : within(storage_index, 'storage_index');
  const months = harvested === undefined ? null : monthsBetween(harvested, today);
  const aged = months !== null && packed !== undefined && storage_temp_c !== undefined;
  if (!aged && index === undefined) {
    if (lot.storage) return { known: true, storage: lot.storage, months: null };
    const needs = [
      months === null && 'harvest year',
      storage_temp_c === undefined && 'temperature',
      packed === undefined && 'pack',
    ].filter((word) => word !== false);
    return { known: false, needs: needs.join(', ') };
  }
  let counted = months ?? 0;
  if (opened && harvested) {
    const sealed = Math.min(counted, monthsBetween(harvested, opened));
    const share = openedMonthsPerSealed(model);
    counted = monthsBetween(opened, today) + sealed * share;
  }
  return {
    known: true,
    storage: {
      ...(aged && {
        months: within(counted, 'months'),
        temp_c: within(storage_temp_c, 'temp_c'),
      }),
      ...(packed && { packed }),
      ...(index !== undefined && { storage_index: index }),
    },
    months,
  };
}

/** A lot of the stock as a candidate of a brief, without the fields that only the stock needs. */
function candidateOf(lot: ListedLot): Candidate {
  const { hop, form, grams_on_hand, price_per_kg, package_g, harvest_year, analysis } = lot;
  return given({ hop, form, grams_on_hand, package_g, price_per_kg, harvest_year, analysis });
}

/** A lot of the stock as a candidate of a brief, with its storage, so that its aged figures count. */
export function agedCandidate(model: Model, lot: ListedLot, today: string): Candidate {
  const kept = storageOfLot(model, lot, today);
  return { ...candidateOf(lot), ...(kept.known && { storage: kept.storage }) };
}

/** The candidates of a stock: every lot that is not used up. */
export function stockCandidates(
  model: Model,
  lots: readonly ListedLot[],
  today: string,
): Candidate[] {
  return lots.filter((lot) => !lot.out_of_stock).map((lot) => agedCandidate(model, lot, today));
}

/**
 * A candidate so many months later, kept as it is now. Where pack or temperature are not given, the loss is not
 * known and the candidate stays as it is.
 */
export function candidateAfter(model: Model, candidate: Candidate, later: Months): Candidate {
  const { storage, analysis } = candidate;
  if (!storage || later <= 0) return candidate;
  const { months, temp_c, packed, storage_index, months_since_analysis } = storage;
  if (temp_c === undefined || packed === undefined) return candidate;
  const lot = lotOf(model, candidate);
  const index =
    storage_index === undefined || !lot.ok
      ? undefined
      : within(indexAfter(model, lot.value, { ...storage, storage_index }, later), 'storage_index');
  const analysed = analysis && Object.keys(analysis).length > 0;
  return {
    ...candidate,
    storage: {
      ...storage,
      ...(months !== undefined && { months: within(months + later, 'months') }),
      ...(index !== undefined && { storage_index: index }),
      ...(analysed && {
        months_since_analysis: within((months_since_analysis ?? 0) + later, 'months'),
      }),
    },
  };
}
