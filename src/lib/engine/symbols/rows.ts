// The rows of the tables as terms, each with its id, range, status and sources; and the store that makes each
// line once.
import type { CompoundId, Status } from '#shared/ids.ts';
import type { Interval } from '#shared/interval.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { In } from '#shared/units.ts';
import type { AxisWeight } from '#shared/schemas/tables.ts';
import { parameterStatus, type Model, type ParameterId } from '#engine/tables/model.ts';
import { compoundSign } from '#engine/tables/names.ts';
import {
  CONDITIONS,
  num,
  PARAMETERS,
  THRESHOLDS,
  WEIGHTS,
  type Input,
  type Leaf,
  type Line,
} from './term.ts';

/** Number of lots whose lines are kept, the newest; a design has far fewer. */
const LOTS_KEPT = 64;

/** A model with the lines made from it so far, so that each line is made once. */
export class Lines {
  readonly model: Model;
  private readonly own = new Map<string, unknown>();
  private readonly ofLots = new Map<object, Map<string, unknown>>();

  constructor(model: Model) {
    this.model = model;
  }

  /** The value of that key, made at the first call. */
  once<T = Line>(key: string, make: () => T): T {
    return madeOnce(this.own, key, make);
  }

  /** The same for a value that belongs to a lot; it is dropped once many other lots have been asked for. */
  onceOf<T>(lot: object, key: string, make: () => T): T {
    let ofLot = this.ofLots.get(lot);
    if (!ofLot) {
      this.ofLots.set(lot, (ofLot = new Map()));
      const oldest = this.ofLots.size > LOTS_KEPT ? this.ofLots.keys().next().value : undefined;
      if (oldest) this.ofLots.delete(oldest);
    }
    return madeOnce(ofLot, key, make);
  }
}

const linesOfModel = new WeakMap<Model, Lines>();

/** Lines of lots that depend on nothing but the model: the same under all conditions. */
export function linesOf(model: Model): Lines {
  let lines = linesOfModel.get(model);
  if (!lines) linesOfModel.set(model, (lines = new Lines(model)));
  return lines;
}

/** The value of a key in a map, made where it is not there yet. */
export function madeOnce<T>(known: Map<string, unknown>, key: string, make: () => T): T {
  if (known.has(key)) return known.get(key) as T;
  const made = make();
  known.set(key, made);
  return made;
}

export interface Row {
  readonly low: number;
  readonly central: number;
  readonly high: number;
  readonly status: Status | null;
  readonly sources: readonly string[];
}

export function rowLeaf(
  id: string,
  name: string,
  unit: string,
  row: Row,
  input: Input | null,
  judged: Status | null = row.status,
): Leaf {
  const { low, central: value, high, status, sources } = row;
  return { kind: 'leaf', value, input, id, name, unit, low, high, status, sources, judged };
}

/** Rows that describe what hops or malt contain, or how leaf smells. */
const JUDGED = /^(malt\.|precursor\.g_sh3\.|leaf\.)/;

/** Rows of a model, made once. */
const rows = new WeakMap<Model, Map<string, Leaf>>();

function rowOf(model: Model, id: string, make: () => Leaf): Leaf {
  let known = rows.get(model);
  if (!known) rows.set(model, (known = new Map()));
  let leaf = known.get(id);
  if (!leaf) known.set(id, (leaf = make()));
  return leaf;
}

/** A process parameter as a term. */
export function parameter(model: Model, id: ParameterId): Leaf {
  return rowOf(model, id, () => {
    const row = model.parameters[id];
    const judged = JUDGED.test(id) ? parameterStatus(row) : null;
    const input = { of: PARAMETERS, name: id };
    return rowLeaf(`parameter/${id}`, row.label, row.unit, row, input, judged);
  });
}

/** A parameter that defines a scale: it has its central value in every world. */
export function fixedParameter(model: Model, id: ParameterId): Leaf {
  return { ...parameter(model, id), input: null };
}

/** A figure that the document gave: it has no doubt. */
export function given<Unit extends string>(
  path: string,
  value: In<Unit>,
  name: string,
  unit: NoInfer<Unit>,
): Leaf {
  return { ...num(value), id: `input/${path}`, name, unit };
}

/**
 * A figure that the document gives of its batch or of a stage. A beer is compiled once for all values of such
 * figures, so a line may depend on one only through this term.
 * @param path where it stands in the document, like `stages.dry_hop.hours`.
 */
export function condition<Unit extends string>(
  path: string,
  value: In<Unit>,
  name: string,
  unit: NoInfer<Unit>,
): Leaf {
  return { ...given(path, value, name, unit), input: { of: CONDITIONS, name: path } };
}

/** The odour threshold in use, ug/L; `null` where no threshold in beer is known. */
export function thresholdOf(model: Model, compound: CompoundId): Leaf | null {
  const { name, threshold, schools } = model.compounds[compound];
  if (!threshold) return null;
  return rowOf(model, `threshold ${compound}`, () => {
    const own = model.school !== 'middle' && schools[model.school] !== undefined;
    const id = `threshold/${compound}${own ? `/${model.school}` : ''}`;
    const input = { of: THRESHOLDS, name: compound };
    return rowLeaf(id, `Odour threshold of ${name}`, 'ug/L', threshold, input);
  });
}

/** Half-range of a weight given by rank, as a factor each way: such a weight is our rule, not a measurement. */
const WEIGHT_FOLD = 1.6;

/** The range of a weight. */
export function weightRange({ weight, range }: Pick<AxisWeight, 'weight' | 'range'>): Interval {
  return range ?? { low: weight / WEIGHT_FOLD, central: weight, high: weight * WEIGHT_FOLD };
}

/** The weight as a term. It is a rule of this project; only the order of the descriptors comes from a source. */
export function weightOf({ descriptors }: Model, of: AxisWeight): Leaf {
  const { axis, driver } = of;
  const name = spoken(AXIS_NAMES[axis]);
  const notes = descriptors.filter((d) => d.driver === driver && d.axis === axis);
  const best = notes.reduce((a, b) => (b.rank < a.rank ? b : a));
  const sources = [...new Set(notes.flatMap((d) => d.sources))];
  const row = { ...weightRange(of), status: best.status, sources };
  return rowLeaf(
    `weight/${axis}/${driver}`,
    `Weight of ${driver === 'leaf' ? 'leaf' : compoundSign(driver)} on ${name}`,
    '',
    row,
    { of: WEIGHTS, name: `${axis} ${driver}` },
    null,
  );
}

/** The weight as it stands in the signal of an axis of this model. */
export function weightIn(model: Model, of: AxisWeight): Leaf {
  return rowOf(model, `weight ${of.axis} ${of.driver}`, () => weightOf(model, of));
}
