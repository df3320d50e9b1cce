// The rows of the tables as terms, each with its id, range, status and sources, and the lines worked out
// of them, each once.
import type { AxisId, CompoundId, Status } from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import type { Descriptor } from '#shared/schemas/tables.ts';
import descriptorRows from '#data/generated/descriptors.json' with { type: 'json' };
import { parameterStatus, type Model, type ParameterId } from '#engine/model.ts';
import { compoundSign } from '#engine/names.ts';
import { num, PARAMETERS, THRESHOLDS, type Input, type Leaf, type Line } from './term.ts';

/** Owners of which the lines are kept; more come from lists of lots that are looked at once. */
const OWNERS_KEPT = 1024;

/** A model with what is worked out of it so far, so that each line stands once. */
export class Lines {
  readonly model: Model;
  private readonly made = new Map<object, Map<string, unknown>>();

  constructor(model: Model) {
    this.model = model;
  }

  /** The line of that name, worked out once. */
  once(key: string, make: () => Line): Line {
    return this.onceOf(this, key, make);
  }

  /** The same of what belongs to a lot. */
  onceOf<T>(owner: object, key: string, make: () => T): T {
    let ofOwner = this.made.get(owner);
    if (!ofOwner) {
      if (this.made.size >= OWNERS_KEPT) this.made.clear();
      this.made.set(owner, (ofOwner = new Map()));
    }
    if (ofOwner.has(key)) return ofOwner.get(key) as T;
    const made = make();
    ofOwner.set(key, made);
    return made;
  }
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

/** Rows that stand for what is in hops or malt, or for how leaf smells. */
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

/** A process parameter. */
export function parameter(model: Model, id: ParameterId): Leaf {
  return rowOf(model, id, () => {
    const row = model.parameters[id];
    const judged = JUDGED.test(id) ? parameterStatus(row) : null;
    const input = { of: PARAMETERS, name: id };
    return rowLeaf(`parameter/${id}`, row.label, row.unit, row, input, judged);
  });
}

/** A parameter where it defines a scale: it stays central in every world. */
export function fixedParameter(model: Model, id: ParameterId): Leaf {
  return { ...parameter(model, id), input: null };
}

/** What the document gave: nobody doubts it. */
export function given(path: string, value: number, name: string, unit: string): Leaf {
  return { ...num(value), id: `input/${path}`, name, unit };
}

/** The odour threshold in use, ug/L; `null` where none in beer is known. */
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

/** Rule of this project; the descriptors behind it are what was read. */
export function weightOf(axis: AxisId, driver: CompoundId | 'leaf', weight: number): Leaf {
  const name = spoken(AXIS_NAMES[axis]);
  const told = (descriptorRows as Descriptor[]).filter(
    (d) => d.driver === driver && d.axis === axis,
  );
  const best = told.reduce((a, b) => (b.rank < a.rank ? b : a));
  const sources = [...new Set(told.flatMap((d) => d.sources))];
  const row = { low: weight, central: weight, high: weight, status: best.status, sources };
  return rowLeaf(
    `weight/${axis}/${driver}`,
    `Weight of ${driver === 'leaf' ? 'leaf' : compoundSign(driver)} on ${name}`,
    '',
    row,
    null,
    null,
  );
}

/** The weight as it stands in the signal of a model's axis. */
export function weightIn(
  model: Model,
  axis: AxisId,
  driver: CompoundId | 'leaf',
  weight: number,
): Leaf {
  return rowOf(model, `weight ${axis} ${driver}`, () => weightOf(axis, driver, weight));
}
