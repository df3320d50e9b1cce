// Draws hostile texts: documents and lists with parts changed, doubled, cut, swapped or made by a
// grammar of our own words. The same seed, kind and number give the same text on every machine.
import { randomLcg } from 'd3';

/** Uniform draws of one case. */
export class Draw {
  readonly #uniform: () => number;

  constructor(seed: number, number: number) {
    // Spread by two odd constants, so that neighbouring cases share nothing.
    const mixed = (Math.imul(seed + 1, 0x9e3779b1) ^ Math.imul(number + 1, 0x85ebca6b)) >>> 0;
    this.#uniform = randomLcg(mixed / 2 ** 32);
    this.#uniform();
  }

  /** A whole number from 0, below `end`. */
  below(end: number): number {
    return Math.floor(this.#uniform() * end);
  }
  chance(probability: number): boolean {
    return this.#uniform() < probability;
  }
  of<T>(list: readonly T[]): T {
    return list[this.below(list.length)]!;
  }
  /** A place in a text or list, its end as well. */
  place(length: number): number {
    return this.below(length + 1);
  }
}

const NUMBERS = [
  ...[0, 1, -1, 0.1, 5, 12.5, 20, 50, 99.999, 100, 100.0001, 1950, 2025, 2100, 2200, 5000],
  ...[5e-324, 1e-320, 1e-9, 1e6, 1e9, 1e308, -1e308, 2 ** 53, 0.1 + 0.2],
];
const TEXTS = [
  ...['', ' ', 'Citra', 'citra ', 'Hallertau Mittelfrüh', 'Saas', 'cone', 'pellet_90', 'mash'],
  ...['dry_hop', 'sealed', 'vacuum', 'table', 'closest', 'NaN', '-0', '1,5', '1.500', '=1+1'],
  ...["'=1+1", "''", '\t', '\r', '\n', '\uFEFF', '\ud800', '\u0000', '😀', '2026-02-30'],
  ...['2025-01-01', '9999-12-31', '__proto__', 'constructor', 'x'.repeat(201), '"', '\\', 'null'],
];
/** Written into a text as they stand. */
const TOKENS = [
  ...['NaN', '-0', '-0.0', '1e999', '-1e999', '1e-999', '+1', '01', '.5', '1.', '0x10', '1_000'],
  ...[
    'null',
    'true',
    'undefined',
    '{',
    '}',
    '[',
    ']',
    ',',
    ':',
    '"',
    "'",
    '“',
    '\\',
    '\\u00',
    '//',
  ],
  ...['"a":1,', '"grams":1,', '{"a":NaN,"a":NaN}', '\n', '\r\n', '\t', ' ', '\uFEFF', '\u00A0'],
  ...[
    ';',
    '|',
    '""',
    '"x',
    'x"',
    '=1+1',
    '@a',
    '-',
    '1.500',
    '1,5',
    '1.234.567,8',
    '12 %',
    'sep=;\n',
  ],
  ...['9'.repeat(400), ' '.repeat(400), '['.repeat(70), '"'.repeat(31), ',\n'.repeat(40)],
];

/** A text with one to four places changed. */
export function mutatedText(draw: Draw, text: string): string {
  let result = text;
  for (let changes = 1 + draw.below(4); changes > 0; changes -= 1) {
    const from = draw.place(result.length);
    const to = Math.min(result.length, from + draw.below(draw.chance(0.7) ? 4 : 200));
    const [before, part, after] = [result.slice(0, from), result.slice(from, to), result.slice(to)];
    const other = draw.place(result.length);
    result = draw.of([
      () => before + draw.of(TOKENS) + after,
      () => before + draw.of(TOKENS) + part + after,
      () => before + after,
      () => before + part + part + after,
      () => before,
      () => result.slice(0, other) + part + result.slice(other),
      () => before + String.fromCharCode(draw.below(0x300)) + after,
    ])();
  }
  return result;
}

type Fields = Record<string, unknown>;
const isFields = (value: unknown): value is Fields =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** A value that may stand anywhere, well or not. */
export function anything(draw: Draw): unknown {
  const kind = draw.below(10);
  if (kind < 4) return draw.of(NUMBERS);
  if (kind < 7) return draw.of(TEXTS);
  return draw.of([null, true, false, [], {}, [[]], { a: 1 }, 'table', 0, '']);
}

/** A document with one to three of its values changed, taken out, renamed or doubled; itself is kept. */
export function mutatedValue(draw: Draw, document: unknown): unknown {
  let result = document;
  for (let changes = 1 + draw.below(3); changes > 0; changes -= 1) result = changed(draw, result);
  return result;
}

function changed(draw: Draw, value: unknown): unknown {
  if (draw.chance(0.02)) return anything(draw);
  if (typeof value === 'number')
    return draw.chance(0.5) ? value * 2 * draw.below(100) : draw.of(NUMBERS);
  if (Array.isArray(value) && value.length > 0) {
    const at = draw.below(value.length);
    const list = [...(value as unknown[])];
    if (draw.chance(0.7)) list[at] = changed(draw, list[at]);
    else if (draw.chance(0.5)) list.splice(at, 1);
    else list.splice(draw.place(list.length), 0, list[at]);
    return list;
  }
  if (isFields(value) && Object.keys(value).length > 0) {
    const field = draw.of(Object.keys(value));
    const { [field]: old, ...rest } = value;
    if (draw.chance(0.85)) return { ...value, [field]: changed(draw, old) };
    if (draw.chance(0.4)) return rest;
    return draw.chance(0.5)
      ? { ...rest, [draw.of(TEXTS)]: old }
      : { ...value, [draw.of(TEXTS)]: anything(draw) };
  }
  return anything(draw);
}

/** A list by a grammar of words: a header of `columns`, lines of `cells`, a drawn delimiter. */
export function drawnList(
  draw: Draw,
  columns: readonly string[],
  cells: Readonly<Record<string, readonly string[]>>,
): string {
  const mark = draw.of([',', ',', ';', '\t', '|']);
  const head = Array.from({ length: 1 + draw.below(6) }, () => draw.of(columns));
  const others = cells['']!;
  const written = (cell: string) =>
    cell.includes(mark) || draw.chance(0.1) ? `"${cell.replaceAll('"', '""')}"` : cell;
  const line = () =>
    head.map((column) => written(draw.of(draw.chance(0.9) ? (cells[column] ?? others) : TEXTS)));
  const lines = [head, ...Array.from({ length: draw.below(5) }, line)];
  const end = draw.of(['\n', '\r\n', '\r']);
  const named = draw.chance(0.1) ? `sep=${mark}${end}` : '';
  return named + lines.map((row) => row.join(mark)).join(end) + (draw.chance(0.8) ? end : '');
}

/** A text made of a document: its values changed, or its letters, or both. */
export function documentText(draw: Draw, document: unknown): string {
  const text = JSON.stringify(draw.chance(0.7) ? mutatedValue(draw, document) : document);
  return draw.chance(0.4) ? mutatedText(draw, text) : text;
}
