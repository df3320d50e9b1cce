// Turns concentrations into odour activity values, these into axis signals, and these into axis intensities.
// The signal of an axis is a weighted sum of odour activity values and of what tasters report of the hops
// (linear); its intensity is a rising function of the signal, flat near 0 and levelling off at the top
// (shared/scale.ts).
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import { intensityOn, scaleIn, signalOn, signalSlopeOn } from '#shared/scale.ts';
import type { AxisWeight } from '#shared/schemas/tables.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Model, ParameterValues } from '#engine/tables/model.ts';
import { compoundName, compoundSign } from '#engine/tables/names.ts';
import { parameter, thresholdOf, weightIn } from '#engine/symbols/rows.ts';
import { Program } from '#engine/symbols/program.ts';
import {
  labelled,
  line,
  minus,
  num,
  over,
  power,
  sum,
  times,
  type InputOwner,
  type Leaf,
  type Line,
  type Summand,
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

/** What the signal of an axis is computed from. */
export interface Smelled {
  /** Odour activity value of a compound; `null` where it has none. */
  readonly activityOf: (compound: CompoundId) => Term | null;
  /** Leaf, g of type 90 per L. */
  readonly leaf: Term;
  /** The part of the signal that comes from what tasters report of the hops. */
  readonly reported: Term;
}

/**
 * Factor from the sum of the central figures of an axis to the median of its drawn sums: a sum of skewed
 * figures has its median above the sum of their medians. It is 1 in a drawn world, where the figures are not
 * the central ones.
 */
function middleOf(model: Model, axis: AxisId): Leaf {
  return parameter(model, `aroma.middle.${axis}`);
}

/** Factors that multiply every compound, and leaf, on an axis besides their own weight. */
function gainsOf(model: Model, axis: AxisId): Leaf[] {
  const gains = [middleOf(model, axis), parameter(model, `aroma.gain.${axis}`)];
  return model.reports ? gains : [...gains, parameter(model, 'aroma.alone')];
}

/**
 * Factors of a driver on an axis: its weight, and the factors of the axis. Leaf counts relative to the load at
 * which it becomes noticeable.
 */
export function countsWith(model: Model, of: AxisWeight): Term[] {
  return [weightIn(model, of), ...gainsOf(model, of.axis)];
}

/** Leaf over its threshold on `grassy`, dimensionless. */
export function leafActivity(model: Model, leaf: Term): Term {
  return over(leaf, parameter(model, 'leaf.grassy_threshold'));
}

/** Signal of an axis, dimensionless. Its parts are the compounds, leaf, and what tasters report. */
export function signal(model: Model, axis: AxisId, { activityOf, leaf, reported }: Smelled): Line {
  const parts: Summand[] = [];
  for (const row of model.weights) {
    if (row.axis !== axis) continue;
    const { driver } = row;
    const activity = driver === 'leaf' ? leafActivity(model, leaf) : activityOf(driver);
    if (!activity) continue;
    const label = driver === 'leaf' ? 'Leaf' : compoundName(driver);
    parts.push({ label, term: times(...countsWith(model, row), activity) });
  }
  if (model.reports) parts.push({ label: 'Reported by tasters', term: reported });
  const name = `Signal of ${spoken(AXIS_NAMES[axis])}`;
  return line(name, '', 'signal', labelled(parts, true));
}

/** A signal on the scale of intensities (shared/scale.ts), in symbols. */
export function onScale(model: Model, of: Line): Term {
  const most = parameter(model, 'aroma.most');
  const sensed = over(times(of, of), sum(of, parameter(model, 'aroma.foot')));
  const felt = power(
    over(sensed, parameter(model, 'aroma.recognition')),
    parameter(model, 'aroma.exponent'),
  );
  return over(times(most, felt), sum(felt, minus(most, num(1))));
}

/** Intensity of a signal: 1 just noticeable, 2.5 clear, 4 strong, 6 dominant. */
export function intensity(model: Model, axis: AxisId, of: Line): Line {
  const name = `Intensity of ${spoken(AXIS_NAMES[axis])}`;
  return line(name, '', 'intensity', onScale(model, of), { scaleOf: of });
}

/** The same function on numbers. */
export function intensityOf(signalOfAxis: number, values: ParameterValues): number {
  return intensityOn(scaleIn(values), signalOfAxis);
}

/** The signal that gives an intensity; infinite from the end of the scale on. */
export function signalOf(intensityOfAxis: number, values: ParameterValues): number {
  return signalOn(scaleIn(values), intensityOfAxis);
}

/** Derivative of the signal by the intensity. */
export function signalSlopeOf(intensityOfAxis: number, values: ParameterValues): number {
  return signalSlopeOn(scaleIn(values), intensityOfAxis);
}

/** Column of leaf in `SignalMatrix`: it follows the compounds. */
export const LEAF_DRIVER = COMPOUNDS.length;
/** Last column of `SignalMatrix`: what tasters report on the axis itself. */
export const REPORTED_DRIVER = LEAF_DRIVER + 1;

/** Signal per unit of each driver: rows by axis, columns by driver (ug/L; leaf g/L; signal). */
export type SignalMatrix = readonly Float64Array[];

/**
 * Owner of the contents of a beer that is known by its contents only: a world gives concentrations, leaf and
 * reported signals.
 */
export const DRIVERS: InputOwner = { owner: 'drivers' };
const driver = (name: string): Leaf => ({ ...num(0), input: { of: DRIVERS, name } });
const driverLeaves = new Map([...COMPOUNDS, 'leaf', ...AXES].map((name) => [name, driver(name)]));

/** The contents of a beer: compounds in ug/L, leaf in g of type 90 per L. */
export interface BeerContent {
  readonly concentration: (compound: CompoundId) => Term;
  readonly leaf: () => Term;
  /** The part of an axis' signal that comes from what tasters report of the hops. */
  readonly reported: (axis: AxisId) => Term;
}

/** The content of the beer that a world gives. */
export const GIVEN_CONTENT: BeerContent = {
  concentration: (compound) => driverLeaves.get(compound)!,
  leaf: () => driverLeaves.get('leaf')!,
  reported: (axis) => driverLeaves.get(axis)!,
};

const matrices = new WeakMap<Model, SignalMatrix>();

/** The signals of one unit of each driver alone, at the central thresholds. */
export function signalMatrix(model: Model): SignalMatrix {
  let matrix = matrices.get(model);
  if (!matrix) {
    const { concentration, leaf, reported } = GIVEN_CONTENT;
    const activityOf = (c: CompoundId) => odourActivity(model, c, concentration(c));
    const program = new Program(
      AXES.map((axis) =>
        signal(model, axis, { activityOf, leaf: leaf(), reported: reported(axis) }),
      ),
    );
    const columns = REPORTED_DRIVER + 1;
    const inputs = [...COMPOUNDS, 'leaf'].map((name) => [name]);
    const units = new Map(
      [...inputs, AXES].flatMap((names, column) => {
        const unit = Float64Array.from({ length: columns }, (_, c) => (c === column ? 1 : 0));
        return names.map((name): [string, Float64Array] => [name, unit]);
      }),
    );
    const world: World = {
      count: columns,
      valuesOf: ({ of, name }) => (of === DRIVERS ? units.get(name) : undefined),
    };
    matrix = new Evaluation(world).run(program).map((row) => spread(row, world.count));
    matrices.set(model, matrix);
  }
  return matrix;
}
