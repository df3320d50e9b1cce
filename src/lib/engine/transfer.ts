// How much of a compound in the hop arrives in the beer, by stage and conditions.
// Dry-hop yields here are at zero load; the fall with total load is `loadFactor`, kept apart because
// it is the one thing that couples additions. Equations: DEVELOPERS.md, section "The equations".
import { COMPOUNDS, type StageId } from '#shared/ids.ts';
import type { Stages } from '#shared/schemas/brief.ts';
import {
  BOIL_CLASSES,
  TRANSFER_CLASSES,
  type BoilClass,
  type LoadGroup,
  type TransferClass,
} from '#shared/schemas/tables.ts';
import { KELVIN_AT_0_C } from '#shared/units.ts';
import { heatSum, type HotSteep } from './heat.ts';
import type { Model, ParameterValues } from './model.ts';

/** Conditions the open hot-steep yields are given for. */
export const STEEP_REFERENCE = { tempC: 95, minutes: 20 } as const;
/** Temperature the dry-hop extraction rates are given for, C. */
export const DRY_HOP_REFERENCE_C = 20;

/** Names of the parameter rows of each class, made once: they are read for every draw of a band. */
function rowsOf<Id extends string, Row extends string>(
  classes: readonly Id[],
  rowOf: (id: Id) => Row,
) {
  return Object.fromEntries(classes.map((id) => [id, rowOf(id)])) as Readonly<Record<Id, Row>>;
}
const DRY_HOP_YIELD = rowsOf(TRANSFER_CLASSES, (c) => `dry_hop.yield.${c}` as const);
const STEEP_YIELD = rowsOf(TRANSFER_CLASSES, (c) => `hot_steep.yield.${c}` as const);
const CLOSED_STEEP_YIELD = rowsOf(TRANSFER_CLASSES, (c) => `hot_steep.closed_yield.${c}` as const);
const BOIL_RATE = rowsOf(BOIL_CLASSES, (c) => `boil.rate.${c}` as const);

/** Fraction of the dry-hop yield left at a total dry-hop load, g/L: 1/(1 + load/half-load). */
export function loadFactor(group: LoadGroup, load: number, values: ParameterValues): number {
  return 1 / (1 + load / values[`dry_hop.half_load.${group}`]);
}

/** Hot extraction rate, 1/min, halving per so many C of cooling. */
export function hotExtractionRate(tempC: number, values: ParameterValues): number {
  const cooling = (STEEP_REFERENCE.tempC - tempC) / values['hot_steep.extraction_halving'];
  return values['hot_steep.extraction_rate'] * 0.5 ** cooling;
}

/** Evaporation rate in an open steep over that in the boil, falling with temperature. */
export function steepEvaporation(tempC: number, values: ParameterValues): number {
  const fall = 1 / (tempC + KELVIN_AT_0_C) - 1 / (STEEP_REFERENCE.tempC + KELVIN_AT_0_C);
  return (
    values['hot_steep.evaporation_share'] *
    Math.exp(-values['hot_steep.evaporation_temperature'] * fall)
  );
}

/** Yield of each compound class, in a stage under its conditions. */
type ClassYields = (transferClass: TransferClass, boilClass: BoilClass, group: LoadGroup) => number;

type DryHop = NonNullable<Stages['dry_hop']>;

/** Part of its final level that a compound of a dry hop has reached; `rate` at 20 C, 1/h. */
function extracted(dryHop: DryHop, rate: number, values: ParameterValues): number {
  const warmth = values['dry_hop.q10'] ** ((dryHop.temp_c - DRY_HOP_REFERENCE_C) / 10);
  return 1 - Math.exp(-rate * warmth * dryHop.hours);
}

/**
 * Part of their final level that all but the hydrocarbons have reached: aroma, bitter acids,
 * polyphenols. That the bitter acids and polyphenols rise with time is PARK17.
 */
export function dryHopExtraction(dryHop: DryHop, values: ParameterValues): number {
  const rate = values[dryHop.mixed ? 'dry_hop.rate.mixed' : 'dry_hop.rate.static'];
  return extracted(dryHop, rate, values);
}

function dryHopYields(dryHop: DryHop, values: ParameterValues): ClassYields {
  const hydrocarbon = extracted(dryHop, values['dry_hop.rate.hydrocarbon'], values);
  const others = dryHopExtraction(dryHop, values);
  return (transferClass, _, group) =>
    values[DRY_HOP_YIELD[transferClass]] * (group === 'hydrocarbon' ? hydrocarbon : others);
}

/**
 * Open: extraction and evaporation against the reference steep. Closed: extraction alone. A lid never
 * keeps less of an oxygenate than an open vessel; of hydrocarbons it does, as read (DIP_TRADE).
 */
function steepYields(steep: HotSteep, values: ParameterValues): ClassYields {
  const { tempC, minutes } = STEEP_REFERENCE;
  const extractionRate = (c: number) => hotExtractionRate(c, values);
  const evaporation = (c: number) => steepEvaporation(c, values);
  const relative =
    (1 - Math.exp(-heatSum(steep, extractionRate, values))) /
    (1 - Math.exp(-extractionRate(tempC) * minutes));
  const spared = evaporation(tempC) * minutes - heatSum(steep, evaporation, values);
  const open: ClassYields = (transferClass, boilClass) => {
    const left = Math.exp(values[BOIL_RATE[boilClass]] * spared);
    return Math.min(1, values[STEEP_YIELD[transferClass]] * relative * left);
  };
  if (!steep.closed) return open;
  const most = Math.min(1, relative);
  return (transferClass, boilClass, group) => {
    const closed = values[CLOSED_STEEP_YIELD[transferClass]] * most;
    if (group !== 'oxygenate') return closed;
    return Math.max(closed, open(transferClass, boilClass, group));
  };
}

function mashYields(mash: NonNullable<Stages['mash']>, values: ParameterValues): ClassYields {
  const lautered = values['mash.lauter'];
  return (_, boilClass) => lautered * Math.exp(-values[BOIL_RATE[boilClass]] * mash.boil_minutes);
}

function classYields(
  stage: StageId,
  { mash, hot_steep, dry_hop }: Stages,
  values: ParameterValues,
): ClassYields {
  if (stage === 'mash' && mash) return mashYields(mash, values);
  if (stage === 'hot_steep' && hot_steep) return steepYields(hot_steep, values);
  if (stage === 'dry_hop' && dry_hop) return dryHopYields(dry_hop, values);
  return () => 0;
}

/** Fraction of a compound in the hop that survives a stage, before fermentation and load. */
export function stageYields(
  model: Model,
  stage: StageId,
  stages: Stages,
  values: ParameterValues,
): Float64Array {
  const yieldOf = classYields(stage, stages, values);
  const yields = new Float64Array(COMPOUNDS.length);
  for (let i = 0; i < yields.length; i += 1) {
    const { transferClass, boilClass, loadGroup } = model.compounds[COMPOUNDS[i]!];
    yields[i] = yieldOf(transferClass, boilClass, loadGroup);
  }
  return yields;
}
