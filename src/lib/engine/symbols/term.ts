// An equation as data: figures with where they are from, put together by arithmetic. One tree is
// computed by (program.ts), shown with its numbers filled in (reading.ts) and asked what it stands on
// (standing.ts), so that what is told of a figure cannot differ from what it was computed by.
import type { Status } from '#shared/ids.ts';
import type { EquationId } from './equation-ids.ts';

/** Whose figures differ from world to world: the parameters, the thresholds, the weights, one lot, the grams. */
export type InputOwner = object;
export const PARAMETERS: InputOwner = { owner: 'parameters' };
export const THRESHOLDS: InputOwner = { owner: 'thresholds' };
export const WEIGHTS: InputOwner = { owner: 'weights' };
/** Grams of the additions of a design, by their index. */
export const GRAMS: InputOwner = { owner: 'grams' };
/** What a document says of its batch and its stages, by the path of the figure. */
export const CONDITIONS: InputOwner = { owner: 'conditions' };

/** A figure that a world may set to another value than its central one. */
export interface Input {
  readonly of: InputOwner;
  readonly name: string;
}

/** A figure that is not worked out further. */
export interface Leaf {
  readonly kind: 'leaf';
  /** The central value: at the defaults, or as the document gave it. */
  readonly value: number;
  /** Under what a world finds it; `null`: the same in every world. */
  readonly input: Input | null;
  /** Id of provenance; `null` for a plain constant. */
  readonly id: string | null;
  readonly name: string;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  /** `null` where nobody can doubt it: constants, what the document gave. */
  readonly status: Status | null;
  readonly sources: readonly string[];
  /** How firm it is, of what is in a hop or how that smells; figures of the process are not judged. */
  readonly judged: Status | null;
}

/** Part of a sum; `label` says what it is, as a hop at a stage. */
export interface Summand {
  readonly label: string;
  readonly term: Term;
}

/**
 * Where the program compiled last has a term: a note of the compiler, and of nobody else. A map of the
 * thousands of terms of a beer was half of what an edit leaves to be collected.
 */
export interface Noted {
  compilation: number;
  register: number;
}

export type Term = Leaf | Made;

/** A term that is worked out of others. */
export type Made =
  | Line
  | (Noted &
      (
        | {
            /** A sum whose parts say what they are of. */
            readonly kind: 'list';
            readonly parts: readonly Summand[];
            /** Shown strongest first. */
            readonly ranked: boolean;
          }
        | { readonly kind: 'sum' | 'product' | 'least' | 'most'; readonly terms: readonly Term[] }
        | {
            readonly kind: 'minus' | 'over' | 'power';
            readonly first: Term;
            readonly second: Term;
          }
        | { readonly kind: 'exp' | 'ln' | 'log10'; readonly of: Term }
      ));

/** How a line is treated beside its arithmetic. */
export interface LineTraits {
  /** Hangs on nothing but its lot and is worth keeping: computed once for a world, whatever the beer. */
  readonly kept?: boolean;
  /** A factor that mostly is 1 and is then not shown. */
  readonly silentAtOne?: boolean;
  /** Summed or integrated in many small steps: shown as one figure, its steps left out. */
  readonly manySteps?: boolean;
  /** A function of this term alone, as on a scale: it rests on what that rests on. */
  readonly scaleOf?: Term;
}

/** A step of its own: a name, the equation it follows, and its numbers. */
export class Line implements Noted {
  compilation = 0;
  register = 0;
  readonly kind = 'line';
  readonly name: string;
  readonly unit: string;
  readonly equation: EquationId;
  readonly term: Term;
  readonly kept: boolean;
  readonly silentAtOne: boolean;
  readonly manySteps: boolean;
  readonly scaleOf: Term | null;
  private central: number | undefined;

  constructor(name: string, unit: string, equation: EquationId, term: Term, traits: LineTraits) {
    this.name = name;
    this.unit = unit;
    this.equation = equation;
    this.term = term;
    this.kept = traits.kept ?? false;
    this.silentAtOne = traits.silentAtOne ?? false;
    this.manySteps = traits.manySteps ?? false;
    this.scaleOf = traits.scaleOf ?? null;
  }

  /** The value at the central figures. */
  get value(): number {
    return (this.central ??= valueOf(this.term));
  }
}

const constants = new Map<number, Leaf>();
/** Constants that are kept: those of the formulas are few, those of documents many. */
const CONSTANTS_KEPT = 200;

/** A constant of a formula. */
export function num(value: number): Leaf {
  let leaf = constants.get(value);
  if (!leaf) {
    leaf = {
      kind: 'leaf',
      value,
      input: null,
      id: null,
      name: '',
      unit: '',
      low: value,
      high: value,
      status: null,
      sources: [],
      judged: null,
    };
    if (constants.size < CONSTANTS_KEPT) constants.set(value, leaf);
  }
  return leaf;
}
const several = (kind: 'sum' | 'product' | 'least' | 'most', terms: readonly Term[]): Term => ({
  kind,
  terms,
  compilation: 0,
  register: 0,
});
const pair = (kind: 'minus' | 'over' | 'power', first: Term, second: Term): Term => ({
  kind,
  first,
  second,
  compilation: 0,
  register: 0,
});
const single = (kind: 'exp' | 'ln' | 'log10', of: Term): Term => ({
  kind,
  of,
  compilation: 0,
  register: 0,
});

export const sum = (...terms: Term[]): Term => several('sum', terms);
export const labelled = (parts: readonly Summand[], ranked = false): Term => ({
  kind: 'list',
  parts,
  ranked,
  compilation: 0,
  register: 0,
});
export const times = (...terms: Term[]): Term =>
  terms.length === 1 ? terms[0]! : several('product', terms);
export const least = (...terms: Term[]): Term => several('least', terms);
export const most = (...terms: Term[]): Term => several('most', terms);
export const minus = (first: Term, second: Term): Term => pair('minus', first, second);
export const over = (first: Term, second: Term): Term => pair('over', first, second);
export const power = (first: Term, second: Term): Term => pair('power', first, second);
export const exp = (of: Term): Term => single('exp', of);
/** exp(−x) */
export const decay = (...of: Term[]): Term => exp(times(num(-1), ...of));
export const ln = (of: Term): Term => single('ln', of);
export const log10 = (of: Term): Term => single('log10', of);

/** A step of its own in a term. */
export function line(
  name: string,
  unit: string,
  equation: EquationId,
  term: Term,
  traits: LineTraits = {},
): Line {
  return new Line(name, unit, equation, term, traits);
}

/** The value of a term at the central figures. */
export function valueOf(term: Term): number {
  switch (term.kind) {
    case 'leaf':
    case 'line':
      return term.value;
    case 'list': {
      let all = 0;
      for (const part of term.parts) all += valueOf(part.term);
      return all;
    }
    case 'sum': {
      let all = 0;
      for (const of of term.terms) all += valueOf(of);
      return all;
    }
    case 'product': {
      let all = 1;
      for (const of of term.terms) all *= valueOf(of);
      return all;
    }
    case 'least':
      return Math.min(...term.terms.map(valueOf));
    case 'most':
      return Math.max(...term.terms.map(valueOf));
    case 'minus':
      return valueOf(term.first) - valueOf(term.second);
    case 'over':
      return valueOf(term.first) / valueOf(term.second);
    case 'power':
      return valueOf(term.first) ** valueOf(term.second);
    case 'exp':
      return Math.exp(valueOf(term.of));
    case 'ln':
      return Math.log(valueOf(term.of));
    case 'log10':
      return Math.log10(valueOf(term.of));
  }
}

/** The terms a term is made of, one level down; of a line none. */
export function termsIn(term: Term): readonly Term[] {
  if (term.kind === 'list') return term.parts.map((p) => p.term);
  if ('terms' in term) return term.terms;
  if ('first' in term) return [term.first, term.second];
  return 'of' in term ? [term.of] : [];
}
