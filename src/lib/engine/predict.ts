// What a design gives in one world: one set of parameters, thresholds and lot compositions.
// The full answer, with bands over many worlds, is answer.ts.
import { COMPOUNDS } from '#shared/ids.ts';
import type { DoubtfulTotalId, Totals } from '#shared/answer.ts';
import { LOAD_GROUPS } from '#shared/schemas/tables.ts';
import { signalMatrix, signals, type SignalMatrix } from './aroma.ts';
import {
  bitterParts,
  bitternessUnits,
  boilIsoFraction,
  steepIsoFraction,
  tastedBitterness,
  type BitterParts,
  type IsoFractions,
} from './bitterness.ts';
import type { Lot } from './composition.ts';
import { creepCo2 } from './creep.ts';
import type { Design } from './design.ts';
import { blankEffect, centralValues, fillEffect, maltEffect, type LotValues } from './effect.ts';
import {
  defaultThresholds,
  defaultValues,
  type Model,
  type ParameterValues,
  type Thresholds,
} from './model.ts';
import { processOf, type Process } from './process.ts';
import { loadFactor } from './transfer.ts';
import { costOf } from './purchases.ts';

/** A prediction under one set of values. */
export interface Point {
  /** ug/L by compound index. */
  readonly compounds: Float64Array;
  /** Odour activity values by compound index; NaN where no threshold is known. */
  readonly oavs: Float64Array;
  /** By axis index. */
  readonly signals: Float64Array;
  readonly totals: Readonly<Record<DoubtfulTotalId, number>>;
  readonly bitter: BitterParts;
  /** Leaf of the dry hop, g of type 90 equivalent per L. */
  readonly leafDry: number;
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
    lots: new Map([...lots].map((lot) => [lot, centralValues(model, lot)])),
  };
}

/** How far the heat of each hot stage isomerizes alpha acids. */
export function isoFractionsOf({ stages, values }: Process): IsoFractions {
  const { mash, hot_steep } = stages;
  return {
    mash: mash ? boilIsoFraction(mash.boil_minutes, values) : 0,
    hot_steep: hot_steep ? steepIsoFraction(hot_steep, values) : 0,
  };
}

/** Total dry-hop load, g per L of beer. */
export function dryHopLoad(design: Design): number {
  const dry = design.additions.filter((a) => a.stage === 'dry_hop');
  return dry.reduce((sum, a) => sum + a.grams, 0) / design.batch.beer_l;
}

/** What a world makes of the conditions of a design, before any hop: prepared once, used per blend. */
export interface Setting {
  readonly process: Process;
  /** ug/L by compound index; NaN where none is known. */
  readonly thresholds: Float64Array;
  readonly matrix: SignalMatrix;
}

/** How concentrations smell in a world: needs nothing of the design. */
export type Smell = Omit<Setting, 'process'>;

export function smellOf(model: Model, { values, thresholds }: Omit<World, 'lots'>): Smell {
  const known = new Float64Array(COMPOUNDS.length);
  for (let i = 0; i < known.length; i += 1) known[i] = thresholds[COMPOUNDS[i]!] ?? NaN;
  return { thresholds: known, matrix: signalMatrix(model, thresholds, values) };
}

/** Predicts a design in one world. Pure; cost about 0.3 us per addition and compound. */
export function predictPoint(model: Model, design: Design, world: World): Point {
  const { batch, stages, additions } = design;
  const process = processOf(model, batch, stages, world.values);
  const lots = additions.map((a) => world.lots.get(a.lot)!);
  return predictIn({ process, ...smellOf(model, world) }, design, lots, 0);
}

/**
 * Predicts a design under prepared conditions.
 * @param lots the lot of each addition; its figures begin at `row`.
 */
export function predictIn(
  { process, thresholds, matrix }: Setting,
  design: Design,
  lots: readonly LotValues[],
  row: number,
): Point {
  const { batch, additions } = design;
  const { values, loadGroups } = process;
  const load = dryHopLoad(design);
  const left = LOAD_GROUPS.map((group) => loadFactor(group, load, values));
  const compounds = maltEffect(process);
  const pools = { alphaMash: 0, alphaSteep: 0, humulinones: 0, alphaDry: 0 };
  let leaf = 0;
  let leafDry = 0;
  let lost = 0;
  let phRise = 0;
  const effect = blankEffect();
  additions.forEach(({ stage, grams }, a) => {
    const dose = grams / batch.beer_l;
    fillEffect(effect, lots[a]!, row, stage, process);
    for (let i = 0; i < compounds.length; i += 1) {
      const factor = stage === 'dry_hop' ? left[loadGroups[i]!]! : 1;
      compounds[i]! += dose * effect.compounds[i]! * factor;
    }
    pools.alphaMash += dose * effect.alphaMash;
    pools.alphaSteep += dose * effect.alphaSteep;
    pools.humulinones += dose * effect.humulinones;
    pools.alphaDry += dose * effect.alphaDry;
    leaf += dose * effect.leaf;
    if (stage === 'dry_hop') leafDry += dose * effect.leaf;
    lost += grams * effect.lost;
    phRise += dose * effect.phRise;
  });
  const bitter = bitterParts(pools, isoFractionsOf(process), load, values);
  return {
    compounds,
    oavs: compounds.map((ug, i) => ug / thresholds[i]!),
    signals: signals(matrix, compounds, leaf),
    totals: {
      leaf_g_per_l: leaf,
      ibu: bitternessUnits(bitter, values),
      bitter_taste_mg_per_l: tastedBitterness(bitter, values),
      polyphenols_mg_per_l: leafDry * values['polyphenol.gain'] * process.dryHopExtraction,
      creep_co2_vol: creepCo2(leafDry, process.stages.dry_hop, values),
      beer_lost_l: Math.min(lost, batch.beer_l),
      ph_rise: phRise,
    },
    bitter,
    leafDry,
  };
}

/** Lots used in a design, each once. */
export function lotsOf(design: Design): Lot[] {
  return [...new Set(design.additions.filter((a) => a.grams > 0).map((a) => a.lot))];
}

/** All totals of a point: what is exact joined to what was predicted. */
export function totalsOf(design: Design, point: Point): Totals {
  const hopG = design.additions.reduce((sum, a) => sum + a.grams, 0);
  return {
    hop_g: hopG,
    hop_g_per_l: hopG / design.batch.beer_l,
    ...point.totals,
    cost: costOf(design.additions),
  };
}
