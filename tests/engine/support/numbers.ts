// The equations of the model as functions of numbers, for known answers: each evaluates the one
// definition in symbols, at the defaults or with some parameters at other values.
import {
  defaultValues,
  model,
  type ParameterId,
  type ParameterValues,
} from '#engine/tables/model.ts';
import { lotOf, type Lot, type LotSpec } from '#engine/lot/composition.ts';
import { ageingOf, ageOf } from '#engine/lot/content.ts';
import { Beer } from '#engine/predict/beer.ts';
import type { Design } from '#engine/predict/design.ts';
import { compiledBeer, placed, predictPoint, type Point } from '#engine/predict/predict.ts';
import { shelfRate as shelfRateLine } from '#engine/predict/shelf.ts';
import { tempDuring } from '#engine/process/heat.ts';
import {
  heldAt,
  isoLossRate as lossRateOf,
  isomerizationRate as rateOf,
  UNHEATED,
} from '#engine/process/isomerization.ts';
import { Process } from '#engine/process/process.ts';
import {
  acidsAfterSteeps,
  hotExtractionRate as extractionOf,
  steepEvaporation as evaporationOf,
  summedOver,
} from '#engine/process/stages/hot-steep.ts';
import { onLiveYeast } from '#engine/process/yeast.ts';
import { Lines } from '#engine/symbols/rows.ts';
import { num, PARAMETERS, valueOf, type Term } from '#engine/symbols/term.ts';
import { at, CENTRAL, Evaluation, type World } from '#engine/symbols/world.ts';
import { COMPOUNDS, OIL_COMPOUNDS, type CompoundId } from '#shared/ids.ts';
import type { Storage } from '#shared/schemas/lot.ts';
import type { StageUse } from '#shared/stages/stages.ts';

export const values = defaultValues(model);

type Steep = StageUse<'hot_steep'>['conditions'];
type DryHop = StageUse<'dry_hop'>['conditions'];

const BATCH = { beer_l: 1, yeast: 'standard', malt_g_per_l: 0 } as const;
const bare = () => new Process(model, BATCH, {});

/** One world in which some parameters have other values. */
export function worldOf(change: Partial<ParameterValues>): World {
  return {
    count: 1,
    valuesOf: ({ of, name }) => (of === PARAMETERS ? change[name as ParameterId] : undefined),
  };
}

/** A design predicted in a world. */
export function predictIn(design: Design, world: World): Point {
  if (world === CENTRAL) return predictPoint(model, design);
  const figures = compiledBeer(model, design).run(new Evaluation(world), design);
  return placed(figures, (value) => at(value, 0));
}

export const isomerizationRate = (tempC: number) => valueOf(rateOf(bare(), num(tempC)));
export const isoLossRate = (tempC: number) => valueOf(lossRateOf(bare(), num(tempC)));
/** Iso-alpha acids per alpha acid after so many minutes at a temperature. */
export const isoFraction = (tempC: number, minutes: number) =>
  valueOf(heldAt(bare(), 'heat', UNHEATED, num(tempC), num(minutes)).iso);
export const hotExtractionRate = (tempC: number) => valueOf(extractionOf(bare(), num(tempC)));
export const steepEvaporation = (tempC: number) => valueOf(evaporationOf(bare(), num(tempC)));

const steepUse = (conditions: Steep): StageUse<'hot_steep'> => {
  return { key: 'hot_steep', kind: 'hot_steep', conditions };
};

/** Iso-alpha acids per alpha acid after a hot steep and its cooling. */
export const steepIsoFraction = (steep: Steep) =>
  valueOf(acidsAfterSteeps(bare(), 'hot_steep', UNHEATED, [steepUse(steep)]).acids.iso);

/** Share of each compound that a hot steep carries on, by compound index. */
export function steepYields(steep: Steep, change: Partial<ParameterValues> = {}): number[] {
  const process = new Process(model, BATCH, { hot_steep: steep });
  const stage = process.stage('hot_steep');
  const terms: Term[] = COMPOUNDS.map((c) => stage.yieldOf(c).term);
  return new Evaluation(worldOf(change)).of(terms).map((value) => at(value, 0));
}

/** Hop creep of a dry hop of so much leaf: gas formed in it and still to come, volumes; extract, P. */
export function creepOf(
  leafGPerL: number,
  dryHop: DryHop,
): { formed: number; toCome: number; extract: number } {
  const process = new Process(model, BATCH, { dry_hop: dryHop });
  const lot = lotOf(model, { hop: 'Citra', form: 'pellet_90' });
  if (!lot.ok) throw new Error('a hop of the table');
  const beer = new Beer(process, [{ lot: lot.value, stage: 'dry_hop', grams: leafGPerL }]);
  return {
    formed: beer.creepCo2().value,
    toCome: beer.creepToCome().value,
    extract: beer.creepExtract().value,
  };
}

/** Extract set free and fermented in so many days on live yeast at 20 C, P. */
export function creepExtract(leafGPerL: number, days: number): number {
  const dry = { temp_c: 20, mixed: false, hours: 24 * Math.min(days, 1e6) };
  const { formed, extract } = creepOf(leafGPerL, { ...dry, live_yeast: true });
  return days === Infinity ? extract : formed / values['creep.co2_vol'];
}

/** What is left of 1 ug of geraniol on live yeast, and the mol of citronellol per mol. */
export function geraniolOnYeast(
  { hours, tempC }: { readonly hours: number; readonly tempC: number },
  change: Partial<ParameterValues> = {},
): { readonly left: number; readonly citronellol: number } {
  const process = bare();
  const fermentationLeft = process.parameter('dry_hop.fermentation_left');
  const yeast = onLiveYeast(process, {
    key: 'dry_hop',
    hours: num(hours),
    tempC: num(tempC),
    fermentationLeft,
  });
  const terms = [...yeast.left('geraniol'), ...yeast.citronellol!];
  const [left, citronellol] = new Evaluation(worldOf(change)).of(terms);
  return { left: at(left!, 0), citronellol: at(citronellol!, 0) };
}

/** Loss rate of a compound on the shelf, 1/month. */
export const shelfRate = (compound: CompoundId, tempC: number) =>
  shelfRateLine(new Lines(model), compound, tempC).value;

function keptLot(storage: Storage, spec: Partial<LotSpec> = {}) {
  const analysed = { alpha_pct: 10, total_oil_ml_per_100g: 1 };
  const own = { hop: 'Trial line 7', form: 'pellet_90', analysis: analysed, ...spec } as const;
  const lot = lotOf(model, { ...own, storage });
  if (!lot.ok) throw new Error(JSON.stringify(lot.problems));
  return lot.value;
}

/** Share of alpha acids left at a storage index. */
export const leftAtStorageIndex = (index: number) =>
  Math.exp(-ageOf(new Lines(model), keptLot({ storage_index: index }), 'harvest')!.value);

/** Loss rate of alpha acids of a lot of unknown variety, or of one of the table, 1/month. */
export function alphaLossRate(storage: Storage, hop?: string): number {
  const lot = keptLot({ ...storage, months: 1 }, hop === undefined ? {} : { hop });
  return ageOf(new Lines(model), lot, 'harvest')?.value ?? 0;
}

/** The parts of the oil of a lot in every world, % of oil, brought back to the whole; NaN: not given. */
export function oilShares(lot: Lot, world: World = CENTRAL): Float64Array[] {
  const lines = new Lines(model);
  const evaluation = new Evaluation(world);
  return OIL_COMPOUNDS.map((compound) => {
    const ageing = ageingOf(lines, lot, compound);
    if (!ageing) return new Float64Array(world.count).fill(NaN);
    const oil = ageingOf(lines, lot, 'total_oil_ml_per_100g')!;
    const density = values['oil.density'] * 10;
    const [part, whole] = evaluation.of([ageing.stated, oil.stated]);
    return Float64Array.from({ length: world.count }, (_, k) => {
      return at(part!, k) / (at(whole!, k) * density);
    });
  });
}

/** A rate (1/min) summed over a steep and its cooling. */
export function heatSum(steep: Steep, of: 'Extraction' | 'Evaporation'): number {
  const rate = of === 'Extraction' ? extractionOf : evaporationOf;
  return valueOf(summedOver(bare(), steepUse(steep), of, rate));
}

/** Temperature in C at a share of the cooling of a steep. */
export function coolingTemperature({ temp_c, cooling }: Steep, share: number): number {
  return valueOf(tempDuring(bare(), num(temp_c), num(cooling!.to_c))(share));
}
