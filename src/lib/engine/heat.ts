// How hot a hot steep is from minute to minute: a rest at one temperature, then perhaps a cooling by
// Newton's law towards a coolant, the hops still in it. Rates that hang on temperature are summed over
// it: in closed form over the rest, by a fixed quadrature of high order over the cooling.
import type { Stages } from '#shared/schemas/brief.ts';
import type { ParameterValues } from './model.ts';

export type HotSteep = NonNullable<Stages['hot_steep']>;

/** A cooling from one temperature to another, exponential towards a coolant below both. */
export interface CoolingCurve {
  readonly startC: number;
  readonly coolantC: number;
  readonly minutes: number;
  /** Newton's constant, 1/min. */
  readonly perMinute: number;
}

/**
 * The cooling of a steep, or `null` where there is none:
 * T(s) = coolant + (start - coolant) exp(-r s), with T = `to_c` after `minutes`.
 */
export function coolingOf(steep: HotSteep, values: ParameterValues): CoolingCurve | null {
  const { temp_c: startC, cooling } = steep;
  if (!cooling || cooling.to_c >= startC) return null;
  const { to_c, minutes } = cooling;
  const approach = values['hot_steep.cooling_approach'];
  const coolantC = to_c - approach;
  return {
    startC,
    coolantC,
    minutes,
    perMinute: Math.log((startC - coolantC) / approach) / minutes,
  };
}

/** Temperature in C so many minutes into the cooling. */
export function coolingTemperature(curve: CoolingCurve, minutes: number): number {
  const { startC, coolantC, perMinute } = curve;
  return coolantC + (startC - coolantC) * Math.exp(-perMinute * minutes);
}

/** Positive nodes and their weights of the 16-point Gauss-Legendre rule on [-1, 1]. */
const GAUSS_16: readonly (readonly [number, number])[] = [
  [0.0950125098376374, 0.1894506104550685],
  [0.2816035507792589, 0.1826034150449236],
  [0.4580167776572274, 0.1691565193950025],
  [0.6178762444026438, 0.1495959888165767],
  [0.755404408355003, 0.1246289712555339],
  [0.8656312023878318, 0.0951585116824928],
  [0.9445750230732326, 0.0622535239386479],
  [0.9894009349916499, 0.0271524594117541],
];

/** Sum of a rate (1/min) over a whole steep, dimensionless; relative error under 1e-9. */
export function heatSum(
  steep: HotSteep,
  rate: (tempC: number) => number,
  values: ParameterValues,
): number {
  const rest = rate(steep.temp_c) * steep.minutes;
  const curve = coolingOf(steep, values);
  if (!curve) return rest;
  const half = curve.minutes / 2;
  let sum = 0;
  for (const [node, weight] of GAUSS_16) {
    const early = rate(coolingTemperature(curve, half * (1 - node)));
    const late = rate(coolingTemperature(curve, half * (1 + node)));
    sum += weight * (early + late);
  }
  return rest + half * sum;
}
