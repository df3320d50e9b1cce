// What a design gives in one world: one set of parameters, thresholds and lot compositions.
// The full answer, with bands over many worlds, is answer.ts.
import { COMPOUNDS, type StageId } from '#shared/ids.ts';
import type { DoubtfulTotalId, Totals } from '#shared/answer.ts';
import { signalMatrix, signals } from './aroma.ts';
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

/** Odour activity value of each compound; NaN where no threshold is known. */
function oavsOf(compounds: Float64Array, thresholds: Thresholds): Float64Array {
  return Float64Array.from(COMPOUNDS, (c, i) => {
    const threshold = thresholds[c];
    return threshold === null ? NaN : compounds[i]! / threshold;
  });
}
