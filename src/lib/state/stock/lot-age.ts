// What age has done to a stored lot by today, and whether the stock marks it. The equations are those of the
// engine; the caller gives today's date.
import type { Status } from '#shared/ids.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { agedFigures, storageIndexOf, type AgedFigure } from '#engine/lot/ageing.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { agedCandidate, storageOfLot } from '#engine/lot/lot-storage.ts';
import type { Model } from '#engine/tables/model.ts';
import { STALE_INDEX, STRIPPED_OIL_LOST } from './stock.ts';

/** What age has done to a lot. */
export interface LotAge {
  readonly months: number | null;
  readonly alpha: AgedFigure | null;
  readonly oil: AgedFigure | null;
  /** The storage index, measured or as the age implies. */
  readonly storageIndex: number;
  readonly measured: boolean;
  readonly equation: string;
  readonly status: Status;
  /** Why the lot is marked; `null` where it is not. */
  readonly verdict: 'stale' | 'stripped' | null;
}

/** The age of a lot, or a sentence on what is missing to compute it. */
export function lotAge(model: Model, saved: SavedLot, today: string): LotAge | string {
  const kept = storageOfLot(model, saved, today);
  if (!kept.known) return kept.needs;
  const outcome = lotOf(model, agedCandidate(model, saved, today));
  if (!outcome.ok) return 'a name of the hop table, or an analysis';
  const lot = outcome.value;
  const figures = agedFigures(model, lot, ['alpha_pct', 'total_oil_ml_per_100g']);
  const find = (id: AgedFigure['figure']) => figures.find(({ figure }) => figure === id) ?? null;
  const oil = find('total_oil_ml_per_100g');
  const measured = kept.storage.storage_index !== undefined;
  const storageIndex = storageIndexOf(model, lot)!;
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
