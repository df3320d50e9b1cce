// An equation as data: figures with their origin, combined by arithmetic. The same tree is computed
// (program.ts), shown with its numbers filled in (reading.ts), and asked which evidence it rests on
// (standing.ts), so that value, text and evidence of a figure cannot differ.
import type { Status } from '#shared/ids.ts';
import type { EquationId } from './equation-ids.ts';

/**
 * The owner of an input, which says what kind of figure it is: the parameters, the thresholds, the weights, one
 * lot, the grams.
 */
export type InputOwner = object;
export const PARAMETERS: InputOwner = { owner: 'parameters' };
export const THRESHOLDS: InputOwner = { owner: 'thresholds' };
export const WEIGHTS: InputOwner = { owner: 'weights' };
/** Owner of the grams of the additions, which are named by their index. */
export const GRAMS: InputOwner = { owner: 'grams' };
/** Owner of what a document says of its batch and its stages, named by the path of the figure. */
export const CONDITIONS: InputOwner = { owner: 'conditions' };

/** A figure that a world may set to another value than its central one. */
export interface Input {
  readonly of: InputOwner;
  readonly name: string;
}

/** A figure that is not computed from others. */
export interface Leaf {
  readonly kind: 'leaf';
  /** The central value: the default, or what the document gave. */
  readonly value: number;
  /** The input by which a world looks up another value; `null`: the value is the same in every world. */
  readonly input: Input | null;
  /** Id of provenance; `null` for a plain constant. */
  readonly id: string | null;
  readonly name: string;
  readonly unit: string;
  readonly low: number;
  readonly high: number;
  /** `null` where there is no doubt: constants, and what the document gave. */
  readonly status: Status | null;
  readonly sources: readonly string[];
  /**
   * The status as far as it counts for evidence: only figures of what hops contain or how it smells are judged,
   * figures of the process are not.
   */
  readonly judged: Status | null;
}

/** A part of a sum; `label` says what it stands for, such as a hop at a stage. */
export interface Summand {
  readonly label: string;
  readonly term: Term;
}

/**
 * The register that the program compiled last gave a term; only the compiler uses it. With a map from terms to
 * registers, half of the memory that an edit leaves to the garbage collector was that map.
 */
export interface CompilerNote {
  compilation: number;
  register: number;
}

export type Term = Leaf | Made;

/** A term computed from others. */
export type Made =
  | Line
  | (CompilerNote &
      (
        | {
            /** A sum whose parts have labels. */
            readonly kind: 'list';
            readonly parts: readonly Summand[];
            /** Whether the strongest parts are shown first. */
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
  /**
   * Whether the value depends only on a lot and is kept: it is then computed once for a world, whatever the
   * beer.
   */
  readonly kept?: boolean;
  /** Whether this is a factor that usually is 1 and is then not shown. */
  readonly silentAtOne?: boolean;
  /** Whether it is summed or integrated in many small steps: it is shown as one figure, without its steps. */
  readonly manySteps?: boolean;
  /** Set where the line is a function of this one term, as on a scale: its evidence is then that of the term. */
  readonly scaleOf?: Term;
}

/** A step of a computation: a name, the equation it follows, and its numbers. */
export class Line implements CompilerNote {
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

  /** The value with every figure at its central value. */
  get value(): number {
    return (this.central ??= valueOf(this.term));
  }
}

const constants = new Map<number, Leaf>();
/** Number of constants that are kept: formulas have few, documents have many. */
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

/** A term as a step with a name of its own. */
export function line(
  name: string,
  unit: string,
  equation: EquationId,
  term: Term,
  traits: LineTraits = {},
): Line {
  return new Line(name, unit, equation, term, traits);
}

/** The value of a term with every figure at its central value. */
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

/** The terms directly inside a term; none for a line. */
export function termsIn(term: Term): readonly Term[] {
  if (term.kind === 'list') return term.parts.map((p) => p.term);
  if ('terms' in term) return term.terms;
  if ('first' in term) return [term.first, term.second];
  return 'of' in term ? [term.of] : [];
}
