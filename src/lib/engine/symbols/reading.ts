// An equation as people read it: with its numbers filled in, or in symbols. With numbers, parts that add
// nothing are left out, and so are factors that are 1 because their limit does not apply.
import { termsIn, valueOf, type Leaf, type Line, type Summand, type Term } from './term.ts';

/** A piece of a written equation; a number carries the term it stands for. */
export interface Token {
  readonly text: string;
  readonly of: Leaf | Line | null;
}

/** Digits of a step, whose own numbers are shown beside it. */
const LINE_DIGITS = 4;
/** Digits of a figure that has no further explanation. */
const LEAF_DIGITS = 7;

/** A number in so many digits that the equation still gives its figure: 0.0123, 45.1, (7.9 × 10^11). */
export function numberText(value: number, digits: number): string {
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  const isPlain = size === 0 || (size >= 1e-4 && size < 1e7);
  const [mantissa = '', exponent = ''] = rounded.toExponential().split('e');
  const text = isPlain ? String(rounded) : `(${mantissa} × 10^(${Number(exponent)}))`;
  return text.replaceAll('-', '−');
}

const BINDING = { list: 1, sum: 1, minus: 1, product: 2, over: 2, power: 3 } as const;
const SIGNS = {
  list: ' + ',
  sum: ' + ',
  minus: ' − ',
  product: ' × ',
  over: '/',
  power: '^',
} as const;
const CALLS = { least: 'min', most: 'max', exp: 'exp', ln: 'ln', log10: 'log10' } as const;
const plain = (text: string): Token => ({ text, of: null });

const isSilent = (term: Term) => term.kind === 'line' && term.silentAtOne && term.value === 1;

/** The parts of a sum that are shown: those that are not 0. */
export function shownParts({ parts, ranked }: Extract<Term, { kind: 'list' }>): Summand[] {
  const bringing = parts.filter((p) => valueOf(p.term) !== 0);
  return ranked ? bringing.sort((a, b) => valueOf(b.term) - valueOf(a.term)) : bringing;
}

/** The terms inside a term that are shown. */
export function shownWithin(term: Term): readonly Term[] {
  if (term.kind === 'list') return shownParts(term).map((p) => p.term);
  return term.kind === 'product' ? term.terms.filter((t) => !isSilent(t)) : termsIn(term);
}

/** A product of one shown factor reads as that factor. */
function unwrapped(term: Term): Term {
  if (term.kind !== 'product') return term;
  const [only, ...others] = shownWithin(term);
  return only && others.length === 0 ? unwrapped(only) : term;
}

const bindingOf = (term: Term): number =>
  term.kind in BINDING ? BINDING[term.kind as keyof typeof BINDING] : 4;

/** A term in brackets where it binds less strongly than the term around it. */
function inside(of: Term, weakest: number): Token[] {
  const term = unwrapped(of);
  const binding = bindingOf(term);
  const negative = binding === 4 && valueOf(term) < 0 && weakest > 2;
  const tokens = tokensOf(term);
  return binding < weakest || negative ? [plain('('), ...tokens, plain(')')] : tokens;
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
      return [
        {
          text: numberText(term.value, term.manySteps ? LEAF_DIGITS : LINE_DIGITS),
          of: term,
        },
      ];
    case 'list':
    case 'sum':
    case 'product': {
      const level = BINDING[term.kind];
      const shown = shownWithin(term);
      if (shown.length === 0) return [plain(String(valueOf(term)))];
      const pieces = shown.map((of) => inside(of, level));
      // exp(−1 × a) is written exp(−a).
      const [head, ...rest] = pieces;
      const turned = term.kind === 'product' && rest.length > 0 && head?.[0]?.text === '−1';
      return turned
        ? [plain('−'), ...joined(rest, SIGNS.product)]
        : joined(pieces, SIGNS[term.kind]);
    }
    case 'minus':
    case 'over':
    case 'power': {
      const level = BINDING[term.kind];
      const head = inside(term.first, term.kind === 'power' ? level + 1 : level);
      return joined([head, inside(term.second, level + 1)], SIGNS[term.kind]);
    }
    case 'least':
    case 'most': {
      const of = joined(term.terms.map(tokensOf), ', ');
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
