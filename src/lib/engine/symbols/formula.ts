// A line as a formula in symbols: parameters and figures by their ids, steps by the equation they follow.
// What differs only by compound, hop, form or class reads the same.
import { AXES, COMPOUNDS } from '#shared/ids.ts';
import { AXIS_NAMES } from '#shared/words.ts';
import { compoundName, compoundSign } from '#engine/tables/names.ts';
import type { Line, Term } from './term.ts';

/** Patterns of ids of which one part names a class; the formula writes that part as a star. */
const CLASSED = [
  /^((?:dry_hop\.(?:yield|half_load|rate)|hot_steep\.(?:yield|closed_yield)|boil\.rate|ferment\.survival|shelf\.(?:rate|energy)|storage\.(?:oil_class|alpha_rate|oil_over_alpha)|precursor\.g_sh3|loss\.dry_hop)\.)\w+$/,
  /^(form\.|yeast\.)\w+(\.\w+)$/,
];

function starred(parameter: string): string {
  return CLASSED.reduce((id, pattern) => {
    const [, head, tail = ''] = pattern.exec(id) ?? [];
    return head === undefined ? id : `${head}*${tail}`;
  }, parameter);
}

/** A figure of a hop analysis in a formula; the figures of all compounds are written alike. */
function starredFigure(analyte: string): string {
  return analyte.replace(/^\w+(_pct_of_oil|_ug_per_kg)$/, '*$1');
}

/** The symbol of a figure: a parameter by its id, others by the last part of theirs. */
function symbolOf(id: string): string {
  const [kind = '', ...rest] = id.split('/');
  const last = rest.at(-1) ?? '';
  if (kind === 'parameter') return starred(last);
  if (kind === 'threshold' || kind === 'weight') return kind;
  if (kind === 'input') {
    const [what = '', ...of] = rest;
    if (['grams', 'price_per_kg', 'package_g'].includes(what)) return what;
    return starredFigure((of.length > 0 ? last : what).split('.').at(-1)!);
  }
  return starredFigure(last);
}

const SIGNS = { sum: ' + ', product: ' · ', minus: ' − ', over: '/', power: '^' } as const;
const BINDING = { list: 1, sum: 1, minus: 1, product: 2, over: 2, power: 3 } as const;
const CALLS = { least: 'min', most: 'max' } as const;

function binding(term: Term): number {
  return term.kind in BINDING ? BINDING[term.kind as keyof typeof BINDING] : 4;
}

/** Names of compounds as they appear in the names of lines. */
const COMPOUND_NAMES = new Set(
  COMPOUNDS.flatMap((c) => [compoundName(c).toLowerCase(), compoundSign(c).toLowerCase()]),
);

/** Names of axes as they appear there, up to the first comma. */
const AXIS_STARTS = new Set(AXES.map((a) => AXIS_NAMES[a].split(',')[0]!.toLowerCase()));

/** The name of a step without its subject, which all steps of the same equation share. */
function stepName({ name }: Line): string {
  const what = name.replace(/(:|,| of| in| that| after| from) .*$/, '').toLowerCase();
  if (COMPOUND_NAMES.has(what)) return '[compound]';
  return AXIS_STARTS.has(what) ? '[axis]' : `[${what}]`;
}

function written(term: Term, of: Line): string {
  const inside = (inner: Term, least: number) => {
    const text = written(inner, of);
    return binding(inner) < least ? `(${text})` : text;
  };
  switch (term.kind) {
    case 'leaf':
      return term.id === null ? String(Number(term.value.toPrecision(7))) : symbolOf(term.id);
    case 'line':
      return term.equation === of.equation ? stepName(term) : term.equation;
    case 'list': {
      const texts = [...new Set(term.parts.map((p) => written(p.term, of)))];
      return `sum of ${texts.map((text) => `(${text})`).join(' + ')}`;
    }
    case 'sum': {
      const texts = term.terms.map((t) => inside(t, BINDING.sum));
      const alike = new Set(texts).size === 1 && texts.length > 1;
      return alike ? `sum of (${texts[0]})` : texts.join(SIGNS.sum);
    }
    case 'product': {
      const [head, ...rest] = term.terms.map((t) => inside(t, BINDING.product));
      if (head === '-1') return `−${rest.join(SIGNS.product)}`;
      return [head, ...rest].join(SIGNS.product);
    }
    case 'minus':
    case 'over':
    case 'power': {
      const level = BINDING[term.kind];
      const head = inside(term.first, term.kind === 'power' ? level + 1 : level);
      return `${head}${SIGNS[term.kind]}${inside(term.second, level + 1)}`;
    }
    case 'least':
    case 'most':
      return `${CALLS[term.kind]}(${term.terms.map((t) => written(t, of)).join(', ')})`;
    case 'exp':
    case 'ln':
    case 'log10':
      return `${term.kind}(${written(term.of, of)})`;
  }
}

/** A line as a formula in symbols. */
export function formulaOf(line: Line): string {
  const name = stepName(line);
  if (line.manySteps) return `${name} = ${line.name.toLowerCase()}, in many small steps`;
  return `${name} = ${written(line.term, line)}`;
}
