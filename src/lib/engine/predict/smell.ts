// From concentrations to odour activity values, to axis signals, to axis intensities. The signal of an
// axis is a weighted sum of odour activity values (linear), its intensity a power of the signal: the
// p-norm mixing rule with p = 1/n (Stevens' law, exponent read in PSY_TXT).
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Model, ParameterValues } from '#engine/tables/model.ts';
import { compoundName, compoundSign } from '#engine/tables/names.ts';
import { parameter, thresholdOf, weightIn } from '#engine/symbols/rows.ts';
import { Program } from '#engine/symbols/program.ts';
import {
  labelled,
  line,
  num,
  over,
  power,
  times,
  type InputOwner,
  type Leaf,
  type Line,
  type Part,
  type Term,
} from '#engine/symbols/term.ts';
import { Evaluation, spread, type World } from '#engine/symbols/world.ts';

/** Odour activity value; `null` where no threshold in beer is known. */
export function odourActivity(model: Model, compound: CompoundId, ugPerL: Term): Line | null {
  const threshold = thresholdOf(model, compound);
  if (!threshold) return null;
  const name = `Odour activity of ${compoundSign(compound)}`;
  return line(name, '× threshold', 'odour_activity', over(ugPerL, threshold));
}

/**
 * Signal of an axis, dimensionless; 1 is just noticeable. Its parts are compounds, then leaf.
 * @param activityOf odour activity of a compound. @param leaf g of type 90 per L.
 */
export function signal(
  model: Model,
  axis: AxisId,
  activityOf: (compound: CompoundId) => Term | null,
  leaf: Term,
): Line {
  const parts: Part[] = [];
  for (const { driver, axis: of, weight } of model.weights) {
    if (of !== axis) continue;
    const share = weightIn(model, axis, driver, weight);
    if (driver === 'leaf') {
      const against = over(leaf, parameter(model, 'leaf.grassy_threshold'));
      parts.push({ label: 'Leaf', term: times(share, against) });
      continue;
    }
    const activity = activityOf(driver);
    if (activity) parts.push({ label: compoundName(driver), term: times(share, activity) });
  }
  const name = `Signal of ${spoken(AXIS_NAMES[axis])}`;
  return line(name, '', 'signal', labelled(parts, true));
}

/** Intensity of a signal: S^n; 1 just noticeable, 2.5 clear, 4 strong, 6 dominant. */
export function intensity(model: Model, axis: AxisId, of: Line): Line {
  const term = power(of, parameter(model, 'aroma.stevens'));
  return line(`Intensity of ${spoken(AXIS_NAMES[axis])}`, '', 'intensity', term);
}

/** The same of a number. */
export function intensityOf(signalOfAxis: number, values: ParameterValues): number {
  return Math.max(0, signalOfAxis) ** values['aroma.stevens'];
}

/** The signal that gives an intensity: I^(1/n). */
export function signalOf(intensityOfAxis: number, values: ParameterValues): number {
  return Math.max(0, intensityOfAxis) ** (1 / values['aroma.stevens']);
}

/** What drives a signal: the compounds in order, then leaf. */
export const LEAF_DRIVER = COMPOUNDS.length;

/** Signal per unit of each driver: rows by axis, columns by driver (ug/L; leaf g/L). */
export type SignalMatrix = readonly Float64Array[];

/** A beer known only by what is in it: a world gives its concentrations and its leaf. */
export const DRIVERS: InputOwner = { owner: 'drivers' };
const driver = (name: string): Leaf => ({ ...num(0), input: { of: DRIVERS, name } });
const driverLeaves = new Map([...COMPOUNDS, 'leaf'].map((name) => [name, driver(name)]));

/** What is in a beer: a compound in ug/L, leaf in g of type 90 per L. */
export interface BeerContent {
  readonly concentration: (compound: CompoundId) => Term;
  readonly leaf: () => Term;
}

/** The content of the beer that a world gives. */
export const GIVEN_CONTENT: BeerContent = {
  concentration: (compound) => driverLeaves.get(compound)!,
  leaf: () => driverLeaves.get('leaf')!,
};

const matrices = new WeakMap<Model, SignalMatrix>();

/** The signals of one unit of each driver alone, at the default thresholds. */
export function signalMatrix(model: Model): SignalMatrix {
  let matrix = matrices.get(model);
  if (!matrix) {
    const { concentration, leaf } = GIVEN_CONTENT;
    const activity = (c: CompoundId) => odourActivity(model, c, concentration(c));
    const program = new Program(AXES.map((axis) => signal(model, axis, activity, leaf())));
    const names = [...driverLeaves.keys()];
    const unit = (name: string) => Float64Array.from(names, (n) => (n === name ? 1 : 0));
    const units = new Map(names.map((name) => [name, unit(name)]));
    const world: World = {
      count: names.length,
      valuesOf: ({ of, name }) => (of === DRIVERS ? units.get(name) : undefined),
    };
    matrix = new Evaluation(world).run(program).map((row) => spread(row, world.count));
    matrices.set(model, matrix);
  }
  return matrix;
}
