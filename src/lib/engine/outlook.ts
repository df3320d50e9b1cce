// What comes of a design beside its figures of the day: warnings, hop creep in the package, and the
// profile on the shelf. Joins the three for the answer.
import type { Band, Creep, Outlook } from '#shared/answer.ts';
import { CREEP_CAUTION } from '#shared/cautions.ts';
import { carbonationPressureBar, creepExtract } from './creep.ts';
import type { Design } from './design.ts';
import { defaultValues, type Model, type ParameterValues } from './model.ts';
import { warningsOf } from './plausibility.ts';
import type { Point } from './predict.ts';
import { SHELF_REFERENCE_C, shelfOf } from './shelf.ts';

/** Temperature pressures are told for, C. */
export const PRESSURE_C = 20;

function creepOf(design: Design, point: Point, band: Band, values: ParameterValues): Creep | null {
  if (!design.additions.some((a) => a.stage === 'dry_hop' && a.grams > 0)) return null;
  const extra = point.totals.creep_co2_vol;
  const planned = design.batch.co2_vol ?? null;
  const pressure = (extraVol: number) =>
    planned === null ? null : carbonationPressureBar(planned + extraVol, PRESSURE_C, values);
  return {
    extract_p: creepExtract(point.leafDry, Infinity, values),
    extra_co2_vol: extra,
    planned_co2_vol: planned,
    co2_vol: planned === null ? null : planned + extra,
    planned_pressure_bar_at_20c: pressure(0),
    pressure_bar_at_20c: pressure(extra),
    pressure_bar_at_20c_high: pressure(band.high),
    caution: CREEP_CAUTION,
  };
}

/** @param creepBand 10-90 % of `totals.creep_co2_vol`. */
export function outlookOf(model: Model, design: Design, point: Point, creepBand: Band): Outlook {
  const tempC = design.batch.shelf_temp_c ?? SHELF_REFERENCE_C;
  return {
    warnings: warningsOf(model, design, point),
    creep: creepOf(design, point, creepBand, defaultValues(model)),
    shelf: shelfOf(model, point.compounds, point.totals.leaf_g_per_l, tempC),
  };
}
