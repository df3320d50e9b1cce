// The only entry the rest of the product calls to know what a design gives: a point prediction at
// the defaults, and the full answer with 10-90 % bands from seeded sampling.
import { quantileSorted } from 'simple-statistics';
import { AXES, COMPOUNDS, type AxisId, type CompoundId, type StageId } from '#shared/ids.ts';
import {
  DOUBTFUL_TOTALS,
  type AxisAnswer,
  type Band,
  type CompoundAnswer,
  type DoubtfulTotalId,
  type Prediction,
  type Totals,
  type UnknownFigures,
} from '#shared/answer.ts';
import { intensityOf, signalMatrix, signals } from './aroma.ts';
import { bitternessUnits, boilIsoFraction, isoFraction, type IsoFractions } from './bitterness.ts';
import type { Lot } from './composition.ts';
import type { Design } from './design.ts';
import {
  centralValues,
  effectOf,
  maltEffect,
  processOf,
  type LotValues,
  type Process,
} from './effect.ts';
import {
  defaultThresholds,
  defaultValues,
  type Model,
  type ParameterValues,
  type Thresholds,
} from './model.ts';
import { drawLot, drawThresholds, drawValues, randomFrom } from './sampling.ts';
import { loadFactor } from './transfer.ts';

/** A prediction under one set of values. */
export interface Point {
  /** ug/L by compound index. */
  readonly compounds: Float64Array;
  /** Odour activity values by compound index; NaN where no threshold is known. */
  readonly oavs: Float64Array;
  /** By axis index. */
  readonly signals: Float64Array;
  readonly totals: Readonly<Record<DoubtfulTotalId, number>>;
}

/** Everything that may be drawn anew: parameters, thresholds, what is in each lot. */
export interface World {
  readonly values: ParameterValues;
  readonly thresholds: Thresholds;
  readonly lots: ReadonlyMap<Lot, LotValues>;
}

/** The defaults: central composition, default parameters and thresholds. */
export function defaultWorld(model: Model, lots: Iterable<Lot>): World {
  return {
    values: defaultValues(model),
    thresholds: defaultThresholds(model),
    lots: new Map([...lots].map((lot) => [lot, centralValues(lot)])),
  };
}

/** How far the heat of each hot stage isomerizes alpha acids. */
export function isoFractionsOf({ stages, values }: Process): IsoFractions {
  const { mash, hot_steep } = stages;
  return {
    mash: mash ? boilIsoFraction(mash.boil_minutes, values) : 0,
    hot_steep: hot_steep ? isoFraction(hot_steep.temp_c, hot_steep.minutes, values) : 0,
  };
}

/** Total dry-hop load, g per L of beer. */
export function dryHopLoad(design: Design): number {
  const dry = design.additions.filter((a) => a.stage === 'dry_hop');
  return dry.reduce((sum, a) => sum + a.grams, 0) / design.batch.beer_l;
}

/** Predicts a design in one world. Pure; cost about 1 us per addition and compound. */
export function predictPoint(model: Model, design: Design, world: World): Point {
  const { batch, stages, additions } = design;
  const process = processOf(model, batch, stages, world.values);
  const { values } = process;
  const load = dryHopLoad(design);
  const damping = COMPOUNDS.map((c) => loadFactor(model.compounds[c].loadGroup, load, values));
  const compounds = maltEffect(process);
  const pools = { alphaMash: 0, alphaSteep: 0, humulinones: 0, alphaDry: 0 };
  let leaf = 0;
  let lost = 0;
  let phRise = 0;
  const known = new Map<Lot, Partial<Record<StageId, ReturnType<typeof effectOf>>>>();
  for (const { lot, stage, grams } of additions) {
    const dose = grams / batch.beer_l;
    const effects = known.get(lot) ?? {};
    known.set(lot, effects);
    const effect = (effects[stage] ??= effectOf(world.lots.get(lot)!, stage, process));
    for (let i = 0; i < compounds.length; i += 1) {
      const factor = stage === 'dry_hop' ? damping[i]! : 1;
      compounds[i]! += dose * effect.compounds[i]! * factor;
    }
    pools.alphaMash += dose * effect.alphaMash;
    pools.alphaSteep += dose * effect.alphaSteep;
    pools.humulinones += dose * effect.humulinones;
    pools.alphaDry += dose * effect.alphaDry;
    leaf += dose * effect.leaf;
    lost += grams * effect.lost;
    phRise += dose * effect.phRise;
  }
  const matrix = signalMatrix(model, world.thresholds, values);
  return {
    compounds,
    oavs: oavsOf(compounds, world.thresholds),
    signals: signals(matrix, compounds, leaf),
    totals: {
      leaf_g_per_l: leaf,
      ibu: bitternessUnits(pools, isoFractionsOf(process), load, values),
      beer_lost_l: Math.min(lost, batch.beer_l),
      ph_rise: phRise,
    },
  };
}

/** Lots used in a design, each once. */
export function lotsOf(design: Design): Lot[] {
  return [...new Set(design.additions.filter((a) => a.grams > 0).map((a) => a.lot))];
}

function costOf(design: Design): number | null {
  let cost = 0;
  for (const { lot, grams } of design.additions) {
    if (grams === 0) continue;
    if (lot.pricePerKg === null) return null;
    cost += (grams / 1000) * lot.pricePerKg;
  }
  return cost;
}

/** All totals of a point: what is exact joined to what was predicted. */
export function totalsOf(design: Design, point: Point): Totals {
  const hopG = design.additions.reduce((sum, a) => sum + a.grams, 0);
  return {
    hop_g: hopG,
    hop_g_per_l: hopG / design.batch.beer_l,
    ...point.totals,
    cost: costOf(design),
  };
}

/** How a band is drawn. */
export interface BandOptions {
  /** Number of draws, 20 to 10,000. */
  readonly samples: number;
  readonly seed: number;
}
export const DEFAULT_BAND: BandOptions = { samples: 200, seed: 20 };

/** Predicts a design once per draw. */
export function samplePoints(model: Model, design: Design, band: BandOptions): Point[] {
  const random = randomFrom(band.seed);
  const lots = [...new Set(design.additions.map((a) => a.lot))];
  return Array.from({ length: band.samples }, () => {
    const world: World = {
      values: drawValues(model, random),
      thresholds: drawThresholds(model, random),
      lots: new Map(lots.map((lot) => [lot, drawLot(lot, random)])),
    };
    return predictPoint(model, design, world);
  });
}

/** Odour activity value of each compound; NaN where no threshold is known. */
function oavsOf(compounds: Float64Array, thresholds: Thresholds): Float64Array {
  return Float64Array.from(COMPOUNDS, (c, i) => {
    const threshold = thresholds[c];
    return threshold === null ? NaN : compounds[i]! / threshold;
  });
}

/** 10 and 90 % points (R quantile type 7 on the draws, as simple-statistics computes them). */
function bandOf(draws: number[]): Band {
  draws.sort((a, b) => a - b);
  return { low: quantileSorted(draws, 0.1), high: quantileSorted(draws, 0.9) };
}

/** Figures of used lots that nobody gave. */
export function unknownFigures(design: Design): UnknownFigures[] {
  return lotsOf(design)
    .filter((lot) => lot.unknown.length > 0)
    .map((lot) => ({ hop: lot.hop, figures: lot.unknown }));
}

/** The full answer: point prediction at the defaults, 10-90 % bands, what is not known. */
export function predict(
  model: Model,
  design: Design,
  band: BandOptions = DEFAULT_BAND,
): Prediction {
  const world = defaultWorld(model, new Set(design.additions.map((a) => a.lot)));
  const point = predictPoint(model, design, world);
  const draws = samplePoints(model, design, band);
  const { values } = world;

  const compounds = {} as Record<CompoundId, CompoundAnswer>;
  COMPOUNDS.forEach((c, i) => {
    const ug = bandOf(draws.map((d) => d.compounds[i]!));
    const oav = point.oavs[i]!;
    const hasOav = !Number.isNaN(oav);
    const oavBand = hasOav ? bandOf(draws.map((d) => d.oavs[i]!)) : null;
    compounds[c] = {
      ug_per_l: point.compounds[i]!,
      ...ug,
      oav: hasOav ? oav : null,
      oav_low: oavBand?.low ?? null,
      oav_high: oavBand?.high ?? null,
    };
  });

  const axes = {} as Record<AxisId, AxisAnswer>;
  AXES.forEach((axis, i) => {
    const { low, high } = bandOf(draws.map((d) => intensityOf(d.signals[i]!, values)));
    const signal = point.signals[i]!;
    axes[axis] = { intensity: intensityOf(signal, values), low, high, signal };
  });

  const totalsBand = {} as Record<DoubtfulTotalId, Band>;
  for (const id of DOUBTFUL_TOTALS) totalsBand[id] = bandOf(draws.map((d) => d.totals[id]));

  return {
    name: design.name,
    totals: totalsOf(design, point),
    totals_band: totalsBand,
    compounds,
    axes,
    unknown: unknownFigures(design),
    unpriced: lotsOf(design)
      .filter((lot) => lot.pricePerKg === null)
      .map((lot) => lot.hop),
  };
}
