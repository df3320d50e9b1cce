// Computes by how much storage has lowered each figure of a lot, with the storage parameters at their defaults
// and at their fast and slow ends; and the storage index that belongs to an age.
import { OIL_COMPOUNDS } from '#shared/ids.ts';
import type { Storage } from '#shared/schemas/lot.ts';
import type { Months } from '#shared/units.ts';
import type { Lot } from './composition.ts';
import { defaultValues, type Model, type ParameterId } from '#engine/tables/model.ts';
import { Lines, parameter } from '#engine/symbols/rows.ts';
import {
  minus,
  num,
  over,
  exp,
  power,
  times,
  valueOf,
  PARAMETERS,
  type Term,
} from '#engine/symbols/term.ts';
import { at, Evaluation, type World } from '#engine/symbols/world.ts';
import { ageingOf, ageOf, LEAST_LEFT, REFERENCE_C, type AgeingFigure } from './content.ts';

/** By how much storage has lowered one figure of a lot. */
export interface AgedFigure {
  /** For an oil component this is its content in the hop, not its share of the oil. */
  readonly figure: AgeingFigure;
  /** The figure as stated: at harvest, or on the day of the analysis. */
  readonly stated: number;
  readonly now: number;
  /** Share that is left, 0 to 1: at the default storage parameters, and at their fast and slow ends. */
  readonly left: number;
  readonly left_low: number;
  readonly left_high: number;
  readonly since: 'harvest' | 'analysis';
  readonly by: 'storage_index' | 'months';
  readonly sources: readonly string[];
}

/**
 * Two worlds: the storage parameters at the ends where hops keep longest, then at those where they keep
 * shortest.
 */
function endsOfStorage(model: Model, { temp_c, packed }: Storage): World {
  // A wide doubling interval means a small loss above the temperature the rate is given for, and a large loss
  // below it.
  const isWarmer = packed !== undefined && temp_c !== undefined && temp_c > REFERENCE_C[packed];
  return {
    count: 2,
    valuesOf: ({ of, name }) => {
      if (of !== PARAMETERS || !name.startsWith('storage.')) return undefined;
      const { low, high } = model.parameters[name as ParameterId];
      const turned = name === 'storage.doubling' && isWarmer;
      return turned ? Float64Array.of(high, low) : Float64Array.of(low, high);
    },
  };
}

/**
 * What storage has taken from each known figure of a lot; empty where nobody said how the lot was kept. Oil
 * components are given in mg per 100 g of hop. Thiols are left out: no loss rate was found for them.
 * @param wanted those that are worked out; all where absent.
 */
export function agedFigures(
  model: Model,
  lot: Lot,
  wanted?: readonly AgeingFigure[],
): AgedFigure[] {
  const { storage } = lot;
  if (!storage) return [];
  const lines = new Lines(model);
  const ends = new Evaluation(endsOfStorage(model, storage));
  const packed = storage.packed ?? 'opened';
  const figure = (id: AgeingFigure, parameters: readonly ParameterId[]): AgedFigure[] => {
    const ageing = !wanted || wanted.includes(id) ? ageingOf(lines, lot, id) : null;
    if (!ageing) return [];
    const { left: leftLine, since } = ageing;
    const left = leftLine?.value ?? 1;
    const [moved = 1] = leftLine ? ends.of([leftLine]) : [];
    const by =
      since === 'harvest' && storage.storage_index !== undefined ? 'storage_index' : 'months';
    const own: ParameterId[] =
      by === 'storage_index'
        ? ['storage.index_slope']
        : [`storage.alpha_rate.${packed}`, 'storage.doubling'];
    const cited = [...own, ...parameters].flatMap((p) => model.parameters[p].sources);
    const stated = valueOf(ageing.stated);
    return [
      {
        figure: id,
        stated,
        now: stated * left,
        left,
        left_low: Math.min(at(moved, 1), left),
        left_high: Math.max(at(moved, 0), left),
        since,
        by,
        sources: [...new Set(cited)],
      },
    ];
  };
  const oilRatio: ParameterId = `storage.oil_over_alpha.${packed}`;
  return [
    ...figure('alpha_pct', []),
    ...figure('total_oil_ml_per_100g', [oilRatio]),
    ...OIL_COMPOUNDS.flatMap((compound) => {
      const { boilClass } = model.compounds[compound];
      if (boilClass === 'msp4' || boilClass === 'sh3') return [];
      return figure(compound, [oilRatio, `storage.oil_class.${boilClass}`]);
    }),
  ];
}

/**
 * The storage index (HSI) of a lot, as measured or as its age implies: 0.25 10^(lost %/110), the loss equation
 * of NICK79 solved for the index; `null` where nobody said how the lot was kept.
 */
export function storageIndexOf(model: Model, lot: Lot): number | null {
  if (!lot.storage) return null;
  const { storage_index: given } = lot.storage;
  if (given !== undefined) return given;
  const age: Term = ageOf(new Lines(model), lot, 'harvest') ?? num(0);
  const lost = minus(num(1), exp(times(num(-1), age)));
  const tenfold = over(times(num(100), lost), parameter(model, 'storage.index_slope'));
  return valueOf(times(parameter(model, 'storage.index_fresh'), power(num(10), tenfold)));
}

/**
 * Months in a sealed pack cost less alpha than months in an opened one. This gives the months in an opened pack
 * that cost as much as one month in a sealed one at the same temperature: k_sealed 2^((T - 4)/15) over k_opened
 * 2^((T - 20)/15), in which T cancels.
 */
export function openedMonthsPerSealed(model: Model): number {
  const values = defaultValues(model);
  const rates = values['storage.alpha_rate.sealed'] / values['storage.alpha_rate.opened'];
  return rates * 2 ** ((REFERENCE_C.opened - REFERENCE_C.sealed) / values['storage.doubling']);
}

/**
 * The storage index of a lot so many months later, kept in the same pack at the same temperature: the age that
 * its index shows and the months to come, each as -ln of the share of alpha acids left, add up.
 */
export function indexAfter(
  model: Model,
  lot: Omit<Lot, 'storage'>,
  storage: Storage & { readonly storage_index: number },
  months: Months,
): number {
  const values = defaultValues(model);
  const fresh = values['storage.index_fresh'];
  const slope = values['storage.index_slope'];
  const { storage_index: given, ...kept } = storage;
  const later = storageIndexOf(model, { ...lot, storage: { ...kept, months } })!;
  const left = (index: number) => 1 - (slope * Math.log10(index / fresh)) / 100;
  const share = Math.max(LEAST_LEFT, left(given)) * Math.max(LEAST_LEFT, left(later));
  return fresh * 10 ** ((100 * (1 - share)) / slope);
}
