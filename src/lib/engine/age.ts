// What storage has taken from a lot: alpha acids and each component of the oil, by the storage index
// where it is known, else by months, temperature and packing. Figures of the table are of the harvest;
// those of the lot's own analysis count as of today unless the age of the analysis is told.
// Free and bound thiols are not aged: no figure was found. Equations: DEVELOPERS.md, "Storage of hops".
import {
  COMPOUNDS,
  OIL_COMPOUNDS,
  isThiol,
  type AnalyteId,
  type OilCompoundId,
} from '#shared/ids.ts';
import type { Storage } from '#shared/schemas/brief.ts';
import type { Lot } from './composition.ts';
import { defaultValues, type Model, type ParameterId, type ParameterValues } from './model.ts';
import { oilFactorsOf } from './oil-parts.ts';

/** Temperatures the loss rates of the two packings are given for, C. */
export const REFERENCE_C = { sealed: 4, opened: 20 } as const;
export const KEEPING_MONTHS = 6;
/** Least share the storage index can tell: past it the loss equation runs out of hops. */
export const LEAST_LEFT = 0.001;

/** How a lot was kept, with the rate of its variety against the usual one (1 where not known). */
export interface Stored {
  readonly storage: Storage;
  readonly rate: number;
}

/** Natural logarithm of what was lost of the alpha acids, and how much faster the oil goes. */
export interface Age {
  /** Of figures as harvested. */
  readonly harvest: number;
  /** Of figures of the lot's own analysis. */
  readonly analysis: number;
  readonly oilOverAlpha: number;
}

const FRESH: Age = { harvest: 0, analysis: 0, oilOverAlpha: 1 };

/**
 * How fast a variety loses alpha against the usual: -ln(kept)/6 months over the usual rate in air at
 * room temperature, which its keeping figure was taken at.
 */
export function storedOf(model: Model, lot: Pick<Lot, 'storage' | 'keeping'>): Stored | null {
  const { storage, keeping } = lot;
  if (!storage) return null;
  if (!keeping) return { storage, rate: 1 };
  const usual = model.parameters['storage.alpha_rate.opened'].central;
  const own = -Math.log(Math.min(100, keeping.central) / 100) / KEEPING_MONTHS;
  return { storage, rate: own / usual };
}

/**
 * Share of alpha acids left at a storage index: lost % = 110 log10(HSI/0.25), never over 99.9.
 * Source: NICK79.
 */
export function leftAtStorageIndex(index: number, values: ParameterValues): number {
  const tenfold = Math.log10(index / values['storage.index_fresh']);
  return Math.min(1, Math.max(LEAST_LEFT, 1 - (values['storage.index_slope'] / 100) * tenfold));
}

/**
 * Loss rate of alpha acids, 1/month: k_ref 2^((T - T_ref)/15) times the variety's rate; 0 where
 * neither temperature nor packing is told. Sources: RUT23A (rates), GARETZ94 (temperature).
 */
export function alphaLossRate({ storage, rate }: Stored, values: ParameterValues): number {
  const { temp_c, packed } = storage;
  if (temp_c === undefined || packed === undefined) return 0;
  const warmth = 2 ** ((temp_c - REFERENCE_C[packed]) / values['storage.doubling']);
  return values[`storage.alpha_rate.${packed}`] * warmth * rate;
}

/**
 * Months in an opened pack that cost as much alpha as one month in a sealed one at the same
 * temperature: k_sealed 2^((T - 4)/15) over k_opened 2^((T - 20)/15), from which T falls out.
 */
export function openedMonthsPerSealed(values: ParameterValues): number {
  const rates = values['storage.alpha_rate.sealed'] / values['storage.alpha_rate.opened'];
  return rates * 2 ** ((REFERENCE_C.opened - REFERENCE_C.sealed) / values['storage.doubling']);
}

/** The age of a lot's figures; fresh where nothing is told of how it was kept. */
export function ageOf(stored: Stored | null, values: ParameterValues): Age {
  if (!stored) return FRESH;
  const { storage_index: index, months = 0, months_since_analysis = 0 } = stored.storage;
  const perMonth = alphaLossRate(stored, values);
  const left = index === undefined ? null : leftAtStorageIndex(index, values);
  return {
    harvest: left === null ? perMonth * months : -Math.log(left),
    analysis: perMonth * months_since_analysis,
    oilOverAlpha: values[`storage.oil_over_alpha.${stored.storage.packed ?? 'opened'}`],
  };
}

/** The storage index hops of an age come to: 0.25 10^(lost %/110), the loss equation turned round. */
export function storageIndexOf({ harvest }: Age, values: ParameterValues): number {
  const lost = 1 - Math.exp(-harvest);
  return values['storage.index_fresh'] * 10 ** ((100 * lost) / values['storage.index_slope']);
}

/**
 * Share left of an oil component's content, 0 to 1. Total oil falls as the oil does, the component's
 * share of it by how its loss differs: exp(-x) and exp(-(class - 1) x), each with the age of the figure
 * it stands on. Age never raises a content.
 */
export function oilComponentLeft(
  age: Age,
  lossClass: number,
  ofAnalysis: { readonly oil: boolean; readonly share: boolean },
): number {
  const oil = (ofAnalysis.oil ? age.analysis : age.harvest) * age.oilOverAlpha;
  const share = (ofAnalysis.share ? age.analysis : age.harvest) * age.oilOverAlpha;
  if (oil === share) return Math.exp(-lossClass * oil);
  return Math.min(1, Math.exp(-oil - (lossClass - 1) * share));
}

/** Loss of each compound in hops over that of total oil, by compound index; 0 for thiols. */
export function oilLossClasses(model: Model, values: ParameterValues): Float64Array {
  return Float64Array.from(COMPOUNDS, (compound) => {
    const { boilClass } = model.compounds[compound];
    if (boilClass === 'msp4' || boilClass === 'sh3') return 0;
    return values[`storage.oil_class.${boilClass}`];
  });
}

/** By how much one figure of a lot fell in storage. */
export interface AgedFigure {
  /** An oil component stands for its content in the hop, not its share of the oil. */
  readonly figure: 'alpha_pct' | 'total_oil_ml_per_100g' | OilCompoundId;
  /** As stated: at harvest, or on the day of the analysis. */
  readonly stated: number;
  readonly now: number;
  /** Share left at the defaults, and at the fast and slow ends of the storage parameters. */
  readonly left: number;
  readonly left_low: number;
  readonly left_high: number;
  readonly since: 'harvest' | 'analysis';
  readonly by: 'storage_index' | 'months';
  readonly sources: readonly string[];
}

/** The storage parameters at the ends at which hops of these conditions keep longest, or shortest. */
function storageValues(
  model: Model,
  { temp_c, packed }: Storage,
  keeping: 'longest' | 'shortest',
): ParameterValues {
  const values: Record<ParameterId, number> = { ...defaultValues(model) };
  const [slow, fast] =
    keeping === 'longest' ? (['low', 'high'] as const) : (['high', 'low'] as const);
  for (const id of Object.keys(values) as ParameterId[]) {
    if (id.startsWith('storage.')) values[id] = model.parameters[id][slow];
  }
  // A wide doubling means little loss above the temperature the rate is given for, and much below it.
  const warmer = packed !== undefined && temp_c !== undefined && temp_c > REFERENCE_C[packed];
  values['storage.doubling'] = model.parameters['storage.doubling'][warmer ? fast : slow];
  return values;
}

/**
 * What storage has taken from each known figure of a lot; empty where nothing is told of how it was
 * kept. Oil components stand in mg per 100 g of hop. Thiols are not in it: no figure was found.
 */
export function agedFigures(model: Model, lot: Lot): AgedFigure[] {
  const stored = storedOf(model, lot);
  if (!stored) return [];
  const [central, slow, fast] = [
    defaultValues(model),
    storageValues(model, stored.storage, 'longest'),
    storageValues(model, stored.storage, 'shortest'),
  ];
  const { figures } = lot;
  const ofAnalysis = (analyte: AnalyteId) => figures[analyte]?.perProduct ?? false;
  const figure = (
    id: AgedFigure['figure'],
    stated: number,
    analysis: boolean,
    leftIn: (values: ParameterValues) => number,
    parameters: readonly ParameterId[],
  ): AgedFigure => {
    const left = leftIn(central);
    const by = !analysis && stored.storage.storage_index !== undefined ? 'storage_index' : 'months';
    const rate: ParameterId = `storage.alpha_rate.${stored.storage.packed ?? 'opened'}`;
    const own: ParameterId[] =
      by === 'storage_index' ? ['storage.index_slope'] : [rate, 'storage.doubling'];
    const cited = [...own, ...parameters].flatMap((p) => model.parameters[p].sources);
    return {
      figure: id,
      stated,
      now: stated * left,
      left,
      left_low: Math.min(leftIn(fast), left),
      left_high: Math.max(leftIn(slow), left),
      since: analysis ? 'analysis' : 'harvest',
      by,
      sources: [...new Set(cited)],
    };
  };
  const oilRatio: ParameterId = `storage.oil_over_alpha.${stored.storage.packed ?? 'opened'}`;
  const result: AgedFigure[] = [];
  const { alpha_pct: alpha, total_oil_ml_per_100g: oil } = figures;
  const exponent = (analysis: boolean) => (analysis ? 'analysis' : 'harvest');
  if (alpha) {
    const own = alpha.perProduct;
    const left = (v: ParameterValues) => Math.exp(-ageOf(stored, v)[exponent(own)]);
    result.push(figure('alpha_pct', alpha.central, own, left, []));
  }
  if (!oil) return result;
  const oilLeft = (v: ParameterValues) => {
    const age = ageOf(stored, v);
    return Math.exp(-age.oilOverAlpha * age[exponent(oil.perProduct)]);
  };
  result.push(figure('total_oil_ml_per_100g', oil.central, oil.perProduct, oilLeft, [oilRatio]));
  const factors = oilFactorsOf(lot);
  for (const compound of OIL_COMPOUNDS) {
    const share = figures[`${compound}_pct_of_oil`];
    const { boilClass } = model.compounds[compound];
    if (!share || isThiol(compound) || boilClass === 'msp4' || boilClass === 'sh3') continue;
    const own = { oil: oil.perProduct, share: ofAnalysis(`${compound}_pct_of_oil`) };
    const left = (v: ParameterValues) =>
      oilComponentLeft(ageOf(stored, v), v[`storage.oil_class.${boilClass}`], own);
    const part = share.central * (own.share ? factors.own : factors.table);
    const stated = oil.central * part * central['oil.density'] * 10;
    const parameters: ParameterId[] = [oilRatio, `storage.oil_class.${boilClass}`];
    result.push(figure(compound, stated, own.oil && own.share, left, parameters));
  }
  return result;
}
