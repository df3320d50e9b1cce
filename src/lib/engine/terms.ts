// An equation with its numbers filled in, as data: figures with where they are from, put together by
// arithmetic. One tree gives the value, the text that is shown, the rows behind it and how firm they are,
// so that what is told of a figure cannot differ from what it was computed by.
import type { Status } from '#shared/ids.ts';
import type { EquationId } from './equations.ts';

/** A figure that is not worked out further. */
export interface Leaf {
  readonly kind: 'leaf';
  readonly value: number;
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

/** A step of its own: a name, the equation it follows, and its numbers. */
export interface Line {
  readonly name: string;
  readonly unit: string;
  readonly equation: EquationId;
  readonly term: Term;
  readonly value: number;
}

export type Term =
  | Leaf
  | { readonly kind: 'line'; readonly line: Line }
  | { readonly kind: 'sum' | 'product'; readonly parts: readonly Part[] }
  | { readonly kind: 'least' | 'most'; readonly parts: readonly Part[] }
  | { readonly kind: 'minus' | 'over' | 'power'; readonly first: Term; readonly second: Term }
  | { readonly kind: 'exp' | 'ln' | 'log10'; readonly of: Term };

/** Part of a sum; `label` says what it is, as a hop at a stage. */
export interface Part {
  readonly label: string;
  readonly term: Term;
}

const parts = (terms: readonly Term[]): Part[] => terms.map((term) => ({ label: '', term }));

/** A constant of a formula. */
export function num(value: number): Leaf {
  const none = { id: null, name: '', unit: '', status: null, sources: [], judged: null };
  return { kind: 'leaf', value, low: value, high: value, ...none };
}
export const sum = (...terms: Term[]): Term => ({ kind: 'sum', parts: parts(terms) });
export const labelled = (of: readonly Part[]): Term => ({ kind: 'sum', parts: of });
export const times = (...terms: Term[]): Term =>
  terms.length === 1 ? terms[0]! : { kind: 'product', parts: parts(terms) };
export const least = (...terms: Term[]): Term => ({ kind: 'least', parts: parts(terms) });
export const most = (...terms: Term[]): Term => ({ kind: 'most', parts: parts(terms) });
export const minus = (first: Term, second: Term): Term => ({ kind: 'minus', first, second });
export const over = (first: Term, second: Term): Term => ({ kind: 'over', first, second });
export const power = (first: Term, second: Term): Term => ({ kind: 'power', first, second });
export const exp = (of: Term): Term => ({ kind: 'exp', of });
/** exp(−x) */
export const decay = (...of: Term[]): Term => exp(times(num(-1), ...of));
export const ln = (of: Term): Term => ({ kind: 'ln', of });
export const log10 = (of: Term): Term => ({ kind: 'log10', of });

/** A step of its own in a term. */
export function line(name: string, unit: string, equation: EquationId, term: Term): Line {
  return { name, unit, equation, term, value: valueOf(term) };
}
export const by = (of: Line): Term => ({ kind: 'line', line: of });

export function valueOf(term: Term): number {
  switch (term.kind) {
    case 'leaf':
      return term.value;
    case 'line':
      return term.line.value;
    case 'sum':
      return term.parts.reduce((all, p) => all + valueOf(p.term), 0);
    case 'product':
      return term.parts.reduce((all, p) => all * valueOf(p.term), 1);
    case 'least':
      return Math.min(...term.parts.map((p) => valueOf(p.term)));
    case 'most':
      return Math.max(...term.parts.map((p) => valueOf(p.term)));
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

/** A piece of a filled-in equation; a number knows what it is. */
export interface Token {
  readonly text: string;
  readonly of: Leaf | Line | null;
}

const LINE_DIGITS = 4;
const LEAF_DIGITS = 7;

/** A number in so many digits that the equation still gives its figure: 0.0123, 45.1, (7.9 × 10^11). */
export function numberText(value: number, digits: number): string {
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  const plain = size === 0 || (size >= 1e-4 && size < 1e7);
  const [mantissa = '', exponent = ''] = rounded.toExponential().split('e');
  const text = plain ? String(rounded) : `(${mantissa} × 10^(${Number(exponent)}))`;
  return text.replaceAll('-', '−');
}

const BINDING = { sum: 1, minus: 1, product: 2, over: 2, power: 3 } as const;
const SIGNS = { sum: ' + ', minus: ' − ', product: ' × ', over: '/', power: '^' } as const;
const CALLS = { least: 'min', most: 'max', exp: 'exp', ln: 'ln', log10: 'log10' } as const;
const plain = (text: string): Token => ({ text, of: null });

const binding = (term: Term): number => (term.kind in BINDING ? BINDING[term.kind as 'sum'] : 4);

/** A term in brackets where it would bind weaker than what it stands in. */
function inside(term: Term, least: number): Token[] {
  const negative = binding(term) === 4 && valueOf(term) < 0 && least > 2;
  const tokens = tokensOf(term);
  return binding(term) < least || negative ? [plain('('), ...tokens, plain(')')] : tokens;
}

function joined(pieces: readonly Token[][], sign: string): Token[] {
  return pieces.flatMap((piece, i) => (i === 0 ? piece : [plain(sign), ...piece]));
}

/** The term as it is written, numbers filled in. */
export function tokensOf(term: Term): Token[] {
  switch (term.kind) {
    case 'leaf':
      return [{ text: numberText(term.value, LEAF_DIGITS), of: term }];
    case 'line':
      return [{ text: numberText(term.line.value, LINE_DIGITS), of: term.line }];
    case 'sum':
    case 'product': {
      if (term.parts.length === 0) return [plain(String(valueOf(term)))];
      const of = term.parts.map((p) => inside(p.term, BINDING[term.kind]));
      // exp(−1 × a) is written exp(−a).
      const [first, ...rest] = of;
      const turned = term.kind === 'product' && rest.length > 0 && first?.[0]?.text === '−1';
      return turned ? [plain('−'), ...joined(rest, SIGNS.product)] : joined(of, SIGNS[term.kind]);
    }
    case 'minus':
    case 'over':
    case 'power': {
      const level = BINDING[term.kind];
      const first = inside(term.first, term.kind === 'power' ? level + 1 : level);
      return joined([first, inside(term.second, level + 1)], SIGNS[term.kind]);
    }
    case 'least':
    case 'most': {
      const of = joined(
        term.parts.map((p) => tokensOf(p.term)),
        ', ',
      );
      return [plain(`${CALLS[term.kind]}(`), ...of, plain(')')];
    }
    case 'exp':
    case 'ln':
    case 'log10':
      return [plain(`${CALLS[term.kind]}(`), ...tokensOf(term.of), plain(')')];
  }
}

export function textOf(term: Term): string {
  return tokensOf(term)
    .map(({ text }) => text)
    .join('');
}
