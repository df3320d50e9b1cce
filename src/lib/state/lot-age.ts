// How old a stored lot is today, as the storage equations take it, and what to do about it. Months run
// from the harvest and the day of opening; today is handed in. The equations are the engine's.
import type { Status } from '#shared/ids.ts';
import type { Candidate, Storage } from '#shared/schemas/brief.ts';
import { storageSchema } from '#shared/schemas/brief.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import {
  agedFigures,
  ageOf,
  openedMonthsPerSealed,
  storageIndexOf,
  storedOf,
  type AgedFigure,
} from '#engine/age.ts';
import { findHop, lotOf } from '#engine/composition.ts';
import { defaultValues, type Model } from '#engine/model.ts';
import { candidateOf } from './documents.ts';
import { rangeOf } from './ranges.ts';
import { STALE_INDEX, STRIPPED_OIL_LOST } from './stock.ts';

const DAYS_PER_MONTH = 365.25 / 12;
const MS_PER_DAY = 86_400_000;
/** End of the harvest by hemisphere of the variety's origin; common practice, no source. */
const HARVEST_ENDS = { north: '09-15', south: '03-15' } as const;
const SOUTHERN = /^(AU|NZ|ZA|AR)\b/;

/** Months from one day to another, 0 where it lies before; days like 2026-03-31. */
export function monthsBetween(from: string, to: string): number {
  const days = (Date.parse(to) - Date.parse(from)) / MS_PER_DAY;
  return Math.max(0, days / DAYS_PER_MONTH);
}

/** How a lot was kept, or what must be told before anybody can say. */
export type LotStorage =
  | { readonly known: true; readonly storage: Storage; readonly months: number | null }
  | { readonly known: false; readonly needs: string };

const within = (value: number, { min, max }: { min: number; max: number }) =>
  Math.min(max, Math.max(min, value));
const TEMPERATURES = rangeOf(storageSchema.shape.temp_c);
const INDICES = rangeOf(storageSchema.shape.storage_index);
const MONTHS = rangeOf(storageSchema.shape.months);

/**
 * The storage of a lot today. Opened lots: months before the opening count as those of a sealed pack,
 * put into months of an opened one that cost as much alpha. Figures beyond what the equations take
 * count as their end. Where the lot tells no age of its own, its `storage` as listed holds.
 */
export function storageOfLot(model: Model, lot: SavedLot, today: string): LotStorage {
  const { opened_on, pack, storage_temp_c, storage_index, harvest_year } = lot;
  const south = SOUTHERN.test(findHop(model, lot.hop)?.origin ?? '');
  const harvested =
    harvest_year === undefined
      ? opened_on
      : `${harvest_year}-${HARVEST_ENDS[south ? 'south' : 'north']}`;
  const opened = opened_on !== undefined && opened_on <= today ? opened_on : undefined;
  const packed = opened || pack === 'open' ? 'opened' : pack && 'sealed';
  const index = storage_index === undefined ? undefined : within(storage_index, INDICES);
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
    const share = openedMonthsPerSealed(defaultValues(model));
    counted = monthsBetween(opened, today) + sealed * share;
  }
  return {
    known: true,
    storage: {
      ...(aged && {
        months: within(counted, MONTHS),
        temp_c: within(storage_temp_c, TEMPERATURES),
      }),
      ...(packed && { packed }),
      ...(index !== undefined && { storage_index: index }),
    },
    months,
  };
}

/** What a brief takes of a lot of the stock: with its storage, so that the aged figures count. */
export function agedCandidate(model: Model, lot: SavedLot, today: string): Candidate {
  const kept = storageOfLot(model, lot, today);
  return { ...candidateOf(lot), ...(kept.known && { storage: kept.storage }) };
}

/** The candidates of a stock: every lot that is not used up. */
export function stockCandidates(
  model: Model,
  lots: readonly SavedLot[],
  today: string,
): Candidate[] {
  return lots.filter((lot) => !lot.out_of_stock).map((lot) => agedCandidate(model, lot, today));
}

/** What age did to a lot. */
export interface LotAge {
  readonly months: number | null;
  readonly alpha: AgedFigure | null;
  readonly oil: AgedFigure | null;
  /** The storage index, measured or as the age comes to. */
  readonly storageIndex: number;
  readonly measured: boolean;
  readonly equation: string;
  readonly status: Status;
  /** Why it is called out; `null` where it is not. */
  readonly verdict: 'stale' | 'stripped' | null;
}

/** The age of a lot, or what must be told first. */
export function lotAge(model: Model, saved: SavedLot, today: string): LotAge | string {
  const kept = storageOfLot(model, saved, today);
  if (!kept.known) return kept.needs;
  const outcome = lotOf(model, { ...candidateOf(saved), storage: kept.storage });
  if (!outcome.ok) return 'a name of the hop table, or an analysis';
  const lot = outcome.value;
  const figures = agedFigures(model, lot);
  const find = (id: AgedFigure['figure']) => figures.find(({ figure }) => figure === id) ?? null;
  const oil = find('total_oil_ml_per_100g');
  const measured = kept.storage.storage_index !== undefined;
  const values = defaultValues(model);
  const storageIndex =
    kept.storage.storage_index ?? storageIndexOf(ageOf(storedOf(model, lot), values), values);
  const stripped = oil !== null && 1 - oil.left > STRIPPED_OIL_LOST;
  const parameter = measured
    ? 'storage.index_slope'
    : (`storage.alpha_rate.${kept.storage.packed ?? 'opened'}` as const);
  return {
    months: kept.months,
    alpha: find('alpha_pct'),
    oil,
    storageIndex,
    measured,
    equation: measured
      ? 'loss by the storage index (NICK79)'
      : 'first-order loss by months, temperature and pack (RUT23A, GARETZ94)',
    status: model.parameters[parameter].status,
    verdict: storageIndex > STALE_INDEX ? 'stale' : stripped ? 'stripped' : null,
  };
}
