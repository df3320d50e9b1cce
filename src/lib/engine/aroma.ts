// From concentrations to odour activity values, to axis signals, to axis intensities.
// The signal of an axis is a weighted sum of odour activity values (linear), its intensity a power
// of the signal: the p-norm mixing rule with p = 1/n (Stevens' law, exponent read in PSY_TXT).
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import type { Model, ParameterValues, Thresholds } from './model.ts';

/** Drivers of signals: the compounds in order, then leaf as the stand-in for grassy notes. */
export const DRIVER_COUNT = COMPOUNDS.length + 1;
export const LEAF_DRIVER = COMPOUNDS.length;

/** Signal per unit of each driver: rows by axis, columns by driver (ug/L; leaf g/L). */
export type SignalMatrix = readonly Float64Array[];

/** Weights over thresholds. A compound without a threshold in beer gives no signal. */
export function signalMatrix(
  model: Model,
  thresholds: Thresholds,
  values: ParameterValues,
): SignalMatrix {
  const rows = AXES.map(() => new Float64Array(DRIVER_COUNT));
  for (const { driver, axis, weight } of model.weights) {
    const row = rows[AXES.indexOf(axis)]!;
    if (driver === 'leaf') row[LEAF_DRIVER] = weight / values['leaf.grassy_threshold'];
    else {
      const threshold = thresholds[driver];
      if (threshold !== null) row[COMPOUNDS.indexOf(driver)] = weight / threshold;
    }
  }
  return rows;
}

/** Signal of each axis, dimensionless; 1 is just noticeable. */
export function signals(
  matrix: SignalMatrix,
  compounds: Float64Array,
  leafGPerL: number,
): Float64Array {
  const all = new Float64Array(matrix.length);
  for (let a = 0; a < all.length; a += 1) {
    const row = matrix[a]!;
    let sum = row[LEAF_DRIVER]! * leafGPerL;
    for (let i = 0; i < compounds.length; i += 1) sum += row[i]! * compounds[i]!;
    all[a] = sum;
  }
  return all;
}

/** Intensity of a signal: S^n; 1 just noticeable, 2.5 clear, 4 strong, 6 dominant. */
export function intensityOf(signal: number, values: ParameterValues): number {
  return Math.max(0, signal) ** values['aroma.stevens'];
}

/** The signal that gives an intensity: I^(1/n). */
export function signalOf(intensity: number, values: ParameterValues): number {
  return Math.max(0, intensity) ** (1 / values['aroma.stevens']);
}
