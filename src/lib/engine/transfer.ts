// How much of a compound in the hop arrives in the beer, by stage and conditions.
// Dry-hop yields here are at zero load; the fall with total load is `loadFactor`, kept apart because
// it is the one thing that couples additions. Equations: DEVELOPERS.md, section "The equations".
import { COMPOUNDS, type CompoundId, type StageId } from '#shared/ids.ts';
import type { Stages } from '#shared/schemas/brief.ts';
import type { LoadGroup } from '#shared/schemas/tables.ts';
import type { Model, ParameterValues } from './model.ts';

const KELVIN = 273.15;
/** Conditions the open hot-steep yields are given for. */
const STEEP_REFERENCE = { tempC: 95, minutes: 20 } as const;
/** Temperature the dry-hop extraction rates are given for, C. */
const DRY_HOP_REFERENCE_C = 20;

/** Fraction of the dry-hop yield left at a total dry-hop load, g/L: 1/(1 + load/half-load). */
export function loadFactor(group: LoadGroup, load: number, values: ParameterValues): number {
  return 1 / (1 + load / values[`dry_hop.half_load.${group}`]);
}

/** Fraction extracted hot after `minutes`: 1 - exp(-k t), k halving per so many C of cooling. */
export function hotExtraction(tempC: number, minutes: number, values: ParameterValues): number {
  const cooling = (STEEP_REFERENCE.tempC - tempC) / values['hot_steep.extraction_halving'];
  return 1 - Math.exp(-values['hot_steep.extraction_rate'] * 0.5 ** cooling * minutes);
}

/** Evaporation rate in an open steep, 1/min: a share of the boil's, falling with temperature. */
export function steepEvaporation(boilRate: number, tempC: number, values: ParameterValues): number {
  const fall = 1 / (tempC + KELVIN) - 1 / (STEEP_REFERENCE.tempC + KELVIN);
  return (
    boilRate *
    values['hot_steep.evaporation_share'] *
    Math.exp(-values['hot_steep.evaporation_temperature'] * fall)
  );
}

function dryHopYield(
  model: Model,
  compound: CompoundId,
  dryHop: NonNullable<Stages['dry_hop']>,
  values: ParameterValues,
): number {
  const { transferClass, loadGroup } = model.compounds[compound];
  const rate =
    loadGroup === 'hydrocarbon'
      ? values['dry_hop.rate.hydrocarbon']
      : values[dryHop.mixed ? 'dry_hop.rate.mixed' : 'dry_hop.rate.static'];
  const warmth = values['dry_hop.q10'] ** ((dryHop.temp_c - DRY_HOP_REFERENCE_C) / 10);
  const plateau = values[`dry_hop.yield.${transferClass}`];
  return plateau * (1 - Math.exp(-rate * warmth * dryHop.hours));
}

function steepYield(
  model: Model,
  compound: CompoundId,
  steep: NonNullable<Stages['hot_steep']>,
  values: ParameterValues,
): number {
  const { transferClass, boilClass } = model.compounds[compound];
  const extraction = (c: number, t: number) => hotExtraction(c, t, values);
  const relative =
    extraction(steep.temp_c, steep.minutes) /
    extraction(STEEP_REFERENCE.tempC, STEEP_REFERENCE.minutes);
  if (steep.closed)
    return values[`hot_steep.closed_yield.${transferClass}`] * Math.min(1, relative);
  const boilRate = values[`boil.rate.${boilClass}`];
  const here = steepEvaporation(boilRate, steep.temp_c, values) * steep.minutes;
  const reference =
    steepEvaporation(boilRate, STEEP_REFERENCE.tempC, values) * STEEP_REFERENCE.minutes;
  const yielded =
    values[`hot_steep.yield.${transferClass}`] * relative * Math.exp(reference - here);
  return Math.min(1, yielded);
}

function mashYield(
  model: Model,
  compound: CompoundId,
  mash: NonNullable<Stages['mash']>,
  values: ParameterValues,
): number {
  const { boilClass } = model.compounds[compound];
  return values['mash.lauter'] * Math.exp(-values[`boil.rate.${boilClass}`] * mash.boil_minutes);
}

/** Fraction of a compound in the hop that survives a stage, before fermentation and load. */
export function stageYields(
  model: Model,
  stage: StageId,
  stages: Stages,
  values: ParameterValues,
): Float64Array {
  const yields = new Float64Array(COMPOUNDS.length);
  COMPOUNDS.forEach((compound, i) => {
    if (stage === 'mash' && stages.mash)
      yields[i] = mashYield(model, compound, stages.mash, values);
    if (stage === 'hot_steep' && stages.hot_steep)
      yields[i] = steepYield(model, compound, stages.hot_steep, values);
    if (stage === 'dry_hop' && stages.dry_hop)
      yields[i] = dryHopYield(model, compound, stages.dry_hop, values);
  });
  return yields;
}
