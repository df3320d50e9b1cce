// What a design leads to besides its figures on the day of packaging: warnings, hop creep in the package, and
// the profile on the shelf. Joins the three for the answer.
import type { Band, Creep, Outlook } from '#shared/answers/prediction.ts';
import type { Celsius } from '#shared/units.ts';
import { CREEP_CAUTION } from '#shared/stages/dry-hop.ts';
import { carbonationPressureBar } from '#engine/predict/carbonation.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { warningsOf } from './plausibility.ts';
import type { Point } from '#engine/predict/predict.ts';
import { shelfOf, shelfTemperature } from '#engine/predict/shelf.ts';

/** Temperature for which pressures are given, C. */
export const PRESSURE_C: Celsius = 20;

function creepOf(model: Model, design: Design, point: Point, band: Band): Creep | null {
  if (point.dryHopLoad === 0) return null;
  const extra = point.totals.creep_to_come_vol;
  const planned = design.batch.co2_vol ?? null;
  const pressure = (extraVol: number) =>
    planned === null ? null : carbonationPressureBar(model, planned + extraVol, PRESSURE_C);
  return {
    extract_p: point.creepExtract,
    extra_co2_vol: extra,
    planned_co2_vol: planned,
    co2_vol: planned === null ? null : planned + extra,
    planned_pressure_bar_at_20c: pressure(0),
    pressure_bar_at_20c: pressure(extra),
    pressure_bar_at_20c_high: pressure(band.high),
    caution: CREEP_CAUTION,
  };
}

/** @param creepBand 10-90 % of `totals.creep_to_come_vol`. */
export function outlookOf(model: Model, design: Design, point: Point, creepBand: Band): Outlook {
  const tempC = shelfTemperature(design.batch);
  const { compounds, reported, totals } = point;
  const packaged = { compounds, reported, leafGPerL: totals.leaf_g_per_l };
  return {
    warnings: warningsOf(model, design, point),
    creep: creepOf(model, design, point, creepBand),
    shelf: shelfOf(model, packaged, tempC),
  };
}
