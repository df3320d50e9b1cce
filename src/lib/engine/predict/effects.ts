// Unit doses of many lots as numbers, from which the columns of a search are made. Lots for which the same
// figures are known share one program, which runs over all of them at once.
import { ANALYTES, AXES, COMPOUNDS } from '#shared/ids.ts';
import type { Lot } from '#engine/lot/composition.ts';
import { centralFigure } from '#engine/lot/figures.ts';
import type { Process } from '#engine/process/process.ts';
import type { External } from '#engine/symbols/compiler.ts';
import { Program, type Values } from '#engine/symbols/program.ts';
import type { Term } from '#engine/symbols/term.ts';
import { at, CENTRAL, type World } from '#engine/symbols/world.ts';
import type { Model } from '#engine/tables/model.ts';
import { unitDose } from './unit-dose.ts';

/** What 1 g of a lot per litre of beer brings at a stage. Compounds of dry hops are before the loss by load. */
export interface Effect {
  /** ug/L by compound index. */
  readonly compounds: Float64Array;
  /** Signal that tasters report of the hop, by axis index. */
  readonly reported: Float64Array;
  /** Alpha acids, mg/L: into the hot wort, or into cold beer before the limit of what it can hold. */
  readonly alpha: number;
  /** mg/L humulinones into the beer. */
  readonly humulinones: number;
  /** Leaf left in the beer, g of type 90 per L. */
  readonly leaf: number;
}

/** The effect of nothing: every figure 0. */
export function noEffect(): Effect {
  return {
    compounds: new Float64Array(COMPOUNDS.length),
    reported: new Float64Array(AXES.length),
    alpha: 0,
    humulinones: 0,
    leaf: 0,
  };
}

const shapes = new WeakMap<Lot, string>();

/** Everything known of a lot except its numbers: lots of the same shape share their terms. */
function shapeOf(lot: Lot): string {
  let shape = shapes.get(lot);
  if (shape === undefined) shapes.set(lot, (shape = writtenShape(lot)));
  return shape;
}

function writtenShape({ form, figures, reported, storage, keeping }: Lot): string {
  const known = ANALYTES.map((a) => {
    const figure = figures[a];
    return figure ? (figure.perProduct ? '2' : '1') : '0';
  });
  const { months, temp_c, packed, storage_index, months_since_analysis } = storage ?? {};
  const stated = [months, temp_c, storage_index, months_since_analysis].map((value, i) =>
    value === undefined || (i !== 1 && value === 0) ? '0' : '1',
  );
  const noted = AXES.map((axis) => (reported[axis] ? '1' : '0')).join('');
  return [form, known.join(''), noted, stated.join(''), packed, keeping ? 'k' : ''].join(' ');
}

interface Shaped {
  readonly program: Program;
  /** The lot whose terms the program was made from; other lots of the shape run with their own figures. */
  readonly like: Lot;
  /**
   * Indices of the compounds and axes that have an output, in order; the outputs of alpha acids, humulinones
   * and leaf follow where they exist.
   */
  readonly compounds: readonly number[];
  readonly reported: readonly number[];
  readonly has: { readonly alpha: boolean; readonly humulinones: boolean; readonly leaf: boolean };
}

function shaped(process: Process, lot: Lot, shape: string, stageKey: string): Shaped {
  const known = process.once('shapes of lots', () => new Map<string, Shaped>());
  const key = `${stageKey}|${shape}`;
  let found = known.get(key);
  if (!found) {
    const { compounds, reported, alpha, humulinones, leaf } = unitDose(process, lot, stageKey);
    const present = (lines: readonly unknown[]) => lines.flatMap((line, i) => (line ? [i] : []));
    const brought = present(compounds);
    const noted = present(reported);
    const outputs: (Term | null)[] = [
      ...brought.map((i) => compounds[i]!),
      ...noted.map((i) => reported[i]!),
      alpha,
      humulinones,
      leaf,
    ];
    found = {
      program: new Program(outputs.filter((term) => term !== null)),
      like: lot,
      compounds: brought,
      reported: noted,
      has: { alpha: alpha !== null, humulinones: humulinones !== null, leaf: leaf !== null },
    };
    known.set(key, found);
  }
  return found;
}

/** The effect of one lot in many worlds: one value for all of them, or one for each. */
export interface DrawnEffect {
  readonly compounds: readonly Values[];
  readonly reported: readonly Values[];
  readonly alpha: Values;
  readonly humulinones: Values;
  readonly leaf: Values;
}

/** Groups of lots that share a program, each lot by its index. */
function* alike(
  process: Process,
  lots: readonly Lot[],
  stageKey: string,
): Generator<{ readonly of: Shaped; readonly members: readonly number[] }> {
  const groups = new Map<string, number[]>();
  lots.forEach((lot, i) => {
    const shape = shapeOf(lot);
    const group = groups.get(shape);
    if (group) group.push(i);
    else groups.set(shape, [i]);
  });
  for (const [shape, members] of groups) {
    yield { of: shaped(process, lots[members[0]!]!, shape, stageKey), members };
  }
}

/** Runs a program over lots in `count` worlds each: first the worlds of the first lot, then those of the next. */
function runOver(
  model: Model,
  { program, like }: Shaped,
  lots: readonly Lot[],
  world: World,
): Values[] {
  const { count } = world;
  return program.run(lots.length * count, (external: External) => {
    // The program was compiled without kept lines, so it asks for inputs only.
    if (external.kind === 'line') return external.value;
    const { input, value: central } = external;
    if (input.of !== like) {
      const values = world.valuesOf(input, central) ?? central;
      if (count === 1 || typeof values === 'number') return at(values, 0);
      return repeated(values, lots.length);
    }
    const { name } = input;
    const own = centralFigure(model, name);
    const all = new Float64Array(lots.length * count);
    if (world === CENTRAL) {
      for (let m = 0; m < lots.length; m += 1) all[m] = own(lots[m]!);
      return all;
    }
    lots.forEach((lot, m) => {
      const middle = own(lot);
      const values = world.valuesOf({ of: lot, name }, middle) ?? middle;
      if (typeof values === 'number') all.fill(values, m * count, (m + 1) * count);
      else all.set(values, m * count);
    });
    return all;
  });
}

function repeated(values: Float64Array, times: number): Float64Array {
  const all = new Float64Array(values.length * times);
  for (let m = 0; m < times; m += 1) all.set(values, m * values.length);
  return all;
}

/** Names the outputs of a program; `next` gives them one after the other. */
function named<V>({ compounds, reported, has }: Shaped, none: V, next: () => V) {
  const ofCompounds = Array<V>(COMPOUNDS.length).fill(none);
  const ofAxes = Array<V>(AXES.length).fill(none);
  for (const c of compounds) ofCompounds[c] = next();
  for (const a of reported) ofAxes[a] = next();
  return {
    compounds: ofCompounds,
    reported: ofAxes,
    alpha: has.alpha ? next() : none,
    humulinones: has.humulinones ? next() : none,
    leaf: has.leaf ? next() : none,
  };
}

/**
 * The effects of lots at a stage, in the order of the lots.
 * @param effectOf makes an effect from the outputs of a program; `m` is the place of the lot among those run
 * together.
 */
function effectsOver<T>(
  process: Process,
  lots: readonly Lot[],
  stageKey: string,
  world: World,
  effectOf: (of: Shaped, outputs: readonly Values[], m: number) => T,
): T[] {
  const effects: T[] = Array(lots.length);
  for (const { of, members } of alike(process, lots, stageKey)) {
    const some = members.map((i) => lots[i]!);
    const outputs = runOver(process.model, of, some, world);
    members.forEach((i, m) => (effects[i] = effectOf(of, outputs, m)));
  }
  return effects;
}

/**
 * The effects of lots at a stage, in the order of the lots, in one world. Those at the central figures are kept
 * with their lots, because a question may state many problems with the same lots.
 * @param world with one value for each figure; lots it does not know have their central figures.
 */
export function effectsAt(
  process: Process,
  lots: readonly Lot[],
  stageKey: string,
  world: World,
): readonly Effect[] {
  if (world !== CENTRAL) return workedOut(process, lots, stageKey, world);
  const stages = process.once('effects of lots', () => new Map<string, WeakMap<Lot, Effect>>());
  let known = stages.get(stageKey);
  if (!known) stages.set(stageKey, (known = new WeakMap()));
  const missing = lots.filter((lot) => !known.has(lot));
  const made = workedOut(process, missing, stageKey, world);
  missing.forEach((lot, i) => known.set(lot, made[i]!));
  return lots.map((lot) => known.get(lot)!);
}

function workedOut(
  process: Process,
  lots: readonly Lot[],
  stageKey: string,
  world: World,
): Effect[] {
  return effectsOver(process, lots, stageKey, world, (of, outputs, m) => {
    let output = 0;
    const { compounds, reported, ...rest } = named(of, 0, () => at(outputs[output++]!, m));
    return {
      compounds: new Float64Array(compounds),
      reported: new Float64Array(reported),
      ...rest,
    };
  });
}

/** The effects of lots at a stage, in the order of the lots, in all worlds at once. */
export function effectsIn(
  process: Process,
  lots: readonly Lot[],
  stageKey: string,
  world: World,
): DrawnEffect[] {
  const { count } = world;
  return effectsOver(process, lots, stageKey, world, (of, outputs, m) => {
    let output = 0;
    return named<Values>(of, 0, () => {
      const found = outputs[output++]!;
      return typeof found === 'number' ? found : found.subarray(m * count, (m + 1) * count);
    });
  });
}
