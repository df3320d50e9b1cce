// What is left of the aroma after months in the package: each compound falls at a rate of its class that
// hangs on temperature by Arrhenius' law. A function of concentrations alone; no part of the search.
// Left out: the first loss with oxygen, what liners take up, and 3SH that its acetate gives back.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import type { Shelf, ShelfPoint } from '#shared/answer.ts';
import { KELVIN_AT_0_C } from '#shared/units.ts';
import { intensityOf, signalMatrix, signals } from './aroma.ts';
import {
  defaultThresholds,
  defaultValues,
  type Model,
  type ParameterId,
  type ParameterValues,
} from './model.ts';

/** Temperature the rates are given for, C; also where none is told. */
export const SHELF_REFERENCE_C = 20;
/** Gas constant, kJ/(mol K). */
export const GAS_CONSTANT = 0.0083145;
/** Months looked at. */
const MONTHS = [0, 1, 3, 6] as const;

/**
 * Loss rate of a compound in packaged beer, 1/month: k20 exp(-E/R (1/T - 1/293.15)).
 * Sources: REGL18 (4MSP), GAHR19 (esters, monoterpenes, linalool).
 */
export function shelfRate(
  model: Model,
  compound: CompoundId,
  tempC: number,
  values: ParameterValues,
): number {
  const { boilClass } = model.compounds[compound];
  const warmth = 1 / (tempC + KELVIN_AT_0_C) - 1 / (SHELF_REFERENCE_C + KELVIN_AT_0_C);
  return (
    values[`shelf.rate.${boilClass}`] *
    Math.exp((-values[`shelf.energy.${boilClass}`] / GAS_CONSTANT) * warmth)
  );
}

function withRates(model: Model, end: 'low' | 'high'): ParameterValues {
  const values: Record<ParameterId, number> = { ...defaultValues(model) };
  for (const id of Object.keys(values) as ParameterId[]) {
    if (id.startsWith('shelf.rate.')) values[id] = model.parameters[id][end];
  }
  return values;
}

/**
 * The profile after 0, 1, 3 and 6 months.
 * @param compounds ug/L by compound index, as packaged.
 * @param leafGPerL leaf, which stays as it is.
 * @param tempC how warm the beer is kept, C.
 */
export function shelfOf(
  model: Model,
  compounds: Float64Array,
  leafGPerL: number,
  tempC: number,
): Shelf {
  const values = defaultValues(model);
  const matrix = signalMatrix(model, defaultThresholds(model), values);
  const after = (months: number, rates: ParameterValues) =>
    compounds.map(
      (ug, i) => ug * Math.exp(-shelfRate(model, COMPOUNDS[i]!, tempC, rates) * months),
    );
  const intensities = (ug: Float64Array) =>
    signals(matrix, ug, leafGPerL).map((signal) => intensityOf(signal, values));
  const [slow, fast] = [withRates(model, 'low'), withRates(model, 'high')];
  const points = MONTHS.map((months): ShelfPoint => {
    const left = after(months, values);
    const [mid, high, low] = [
      intensities(left),
      intensities(after(months, slow)),
      intensities(after(months, fast)),
    ];
    const axis = (i: number) => ({ intensity: mid[i]!, low: low[i]!, high: high[i]! });
    return {
      months,
      compounds: Object.fromEntries(COMPOUNDS.map((c, i) => [c, left[i]!])) as Record<
        CompoundId,
        number
      >,
      axes: Object.fromEntries(AXES.map((a, i) => [a, axis(i)])) as Record<
        AxisId,
        ReturnType<typeof axis>
      >,
    };
  });
  return { temp_c: tempC, points };
}
