// Figures as people write them in a list: with a decimal point or comma, thousands parted, a unit behind
// ("1 lb 4 oz", "1,5 kg", "4,80 €/100 g", "12,5 %"). And which decimal mark a list has, where it shows it.
import { GRAMS_PER_OUNCE, GRAMS_PER_POUND } from '#shared/units.ts';
import type { ListRow } from './csv.ts';
import { plain } from './folding.ts';

export const DECIMAL_MARKS = ['point', 'comma'] as const;
export type DecimalMark = (typeof DECIMAL_MARKS)[number];

/** A decimal number with a point, as a list may write it. */
const DECIMAL = /^[-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:e[-+]?\d+)?$/i;
/** Most characters of a cell that is read for a figure. */
const FIGURE_MAX = 60;

/** A cell without what people write around a figure: blanks, apostrophes, a percent sign. */
function bareFigure(cell: string): string {
  if (cell.length > FIGURE_MAX) return '';
  return cell
    .replace(/[\s\u00A0']/g, '')
    .replace(/%$/, '')
    .replace('\u2212', '-');
}

/** Figures with their thousands parted, by their decimal mark. */
const PARTED: Readonly<Record<DecimalMark, RegExp>> = {
  comma: /^[-+]?\d{1,3}(?:\.\d{3})+(?:,\d*)?$/,
  point: /^[-+]?\d{1,3}(?:,\d{3})+(?:\.\d*)?$/,
};

/** A figure as written with that decimal mark; thousands may be parted, a percent sign may follow. */
export function numberOf(cell: string, mark: DecimalMark): number | null {
  const bare = bareFigure(cell);
  const thousand = mark === 'comma' ? '.' : ',';
  const whole = PARTED[mark].test(bare) ? bare.replaceAll(thousand, '') : bare;
  const decimal = mark === 'comma' ? whole.replace(',', '.') : whole;
  // Adding 0 turns -0 into 0.
  return DECIMAL.test(decimal) ? Number(decimal) + 0 : null;
}

/** A figure as a list with that decimal mark writes it. */
export function figureText(value: number, mark: DecimalMark): string {
  const text = String(Number(value.toPrecision(6)));
  return mark === 'comma' ? text.replace('.', ',') : text;
}

/** Grams of the units of weight, by what people write for them, folded. */
const WEIGHTS: Readonly<Record<string, number>> = Object.fromEntries(
  (
    [
      [1, 'g gr grs gram grams gramm gramme grammes gramo gramos gramu gramy grm'],
      [10, 'dkg dag deka'],
      [
        1000,
        'kg kgs kilo kilos kilogram kilograms kilogramm kilogramme kilogrammes kilogramo kilogramos kilogramu',
      ],
      [GRAMS_PER_OUNCE, 'oz ozs ounce ounces unze unzen once onces onza onzas unce'],
      [GRAMS_PER_POUND, 'lb lbs pound pounds'],
    ] as const
  ).flatMap(([grams, words]) => words.split(' ').map((word) => [word, grams])),
);

/** Grams of a unit of weight; `undefined` where the word is none. */
export function gramsOf(unit: string): number | undefined {
  return Object.hasOwn(WEIGHTS, unit) ? WEIGHTS[unit] : undefined;
}

const FIGURE = String.raw`(?:\d+\s+)?\d{1,3}\/\d{1,3}|\d[\d.,'\s\u00a0\u202f]*`;
const PART = new RegExp(String.raw`(${FIGURE})\s*([a-z]+)?\.?(?:[\s,+&]|und\b|and\b|et\b)*`, 'uy');

function figureOf(text: string, mark: DecimalMark): number | null {
  const [, whole, over, under] = /^(?:(\d+)\s+)?(\d+)\/(\d+)$/.exec(text) ?? [];
  if (over && under)
    return Number(under) === 0 ? null : Number(whole ?? 0) + Number(over) / Number(under);
  return numberOf(text.replace(/[\s.,']+$/u, ''), mark);
}

/**
 * A weight with its units, g: "32 oz", "1 lb 4 oz", "1,5 kg", "½ lb"; without one, in `unit` grams.
 * `null` where the cell is no such weight.
 */
export function weightOf(cell: string, mark: DecimalMark, unit: number): number | null {
  const bare = numberOf(cell, mark);
  if (bare !== null) return bare * unit;
  if (cell.length > FIGURE_MAX) return null;
  const text = plain(cell).trim();
  let sum = 0;
  let parts = 0;
  for (PART.lastIndex = 0; PART.lastIndex < text.length; parts += 1) {
    const [, figure, word] = PART.exec(text) ?? [];
    const value = figure === undefined ? null : figureOf(figure, mark);
    const grams = word === undefined ? (parts === 0 ? unit : undefined) : gramsOf(word);
    if (value === null || grams === undefined) return null;
    // A figure without a unit stands alone.
    if (word === undefined && PART.lastIndex < text.length) return null;
    sum += value * grams;
  }
  return parts === 0 ? null : sum;
}

const CURRENCY =
  /[€$£¥]|(?<![a-z])(?:eur|euro|euros|usd|czk|kc|gbp|chf|pln|cad|aud|nzd|sek|dkk|nok|huf)(?![a-z])\.?/g;
const PRICE =
  /^(.*?\d[.,]?)\s*(?:(?:\/|per|pro|je|za|au|par|por|le|el|a)\s*(\d+)?\s*([a-z]+)\.?)?$/;

/**
 * A price per kg: "44", "16,80 €", "25.00/lb", "4,80 €/100 g"; a figure without a weight counts times `bare`. `null`
 * where the cell is no price.
 */
export function priceOf(cell: string, mark: DecimalMark, bare: number): number | null {
  if (cell.length > FIGURE_MAX) return null;
  const text = plain(cell).replace(CURRENCY, ' ').trim();
  const [, figure, count, word] = PRICE.exec(text) ?? [];
  const value = figure === undefined ? null : numberOf(figure, mark);
  if (value === null) return null;
  if (word === undefined) return value * bare;
  const grams = gramsOf(word);
  return grams === undefined || Number(count ?? 1) === 0
    ? null
    : (value * 1000) / (grams * Number(count ?? 1));
}

const DEGREES = /^(.*?)\s*(?:°|deg(?:rees)?)?\s*(c|f|celsius|fahrenheit)$/;

/** A temperature, C: "-18", "4 °C", "0F"; without its unit as `bare` makes it. */
export function temperatureOf(
  cell: string,
  mark: DecimalMark,
  bare: (value: number) => number,
): number | null {
  const alone = numberOf(cell, mark);
  if (alone !== null) return bare(alone);
  if (cell.length > FIGURE_MAX) return null;
  const [, figure, unit] = DEGREES.exec(plain(cell).trim()) ?? [];
  const value = figure === undefined ? null : numberOf(figure.replace(/°$/, ''), mark);
  if (value === null) return null;
  return unit!.startsWith('f') ? (value - 32) / 1.8 : value;
}

/** Minutes in the units of time, by what people write for them, folded. */
const TIMES: Readonly<Record<string, number>> = Object.fromEntries(
  (
    [
      [1, "m min mins minute minutes minuten minut minuty minuta minuto minutos ' ′"],
      [60, 'h hr hrs hour hours std stunde stunden hod hodin hodiny heure heures hora horas'],
      [1440, 'd day days tag tage tagen den dny dni dnu jour jours j dia dias'],
      [10_080, 'week weeks woche wochen tyden tydny tydnu semaine semaines semana semanas'],
    ] as const
  ).flatMap(([minutes, words]) => words.split(' ').map((word) => [word, minutes])),
);

/** The words for units of time, the longest first, for a pattern. */
export const TIME_WORDS: readonly string[] = Object.keys(TIMES).sort((a, b) => b.length - a.length);

/** Minutes of a unit of time; `undefined` where the word is none. */
export function minutesOf(unit: string): number | undefined {
  return Object.hasOwn(TIMES, unit) ? TIMES[unit] : undefined;
}

/** A time with its unit, min; without one, in `unit` minutes. `null` where the cell is none. */
export function durationOf(cell: string, mark: DecimalMark, unit: number): number | null {
  const bare = numberOf(cell, mark);
  if (bare !== null) return bare * unit;
  if (cell.length > FIGURE_MAX) return null;
  const [, figure, word] = /^([\d.,]+)\s*([a-z'′]+)\.?$/.exec(plain(cell).trim()) ?? [];
  const value = figure === undefined ? null : numberOf(figure, mark);
  const minutes = word === undefined ? undefined : minutesOf(word);
  return value === null || minutes === undefined ? null : value * minutes;
}

/** What people write behind a figure of an analysis. */
const BEHIND =
  /\s*(?:%?\s*(?:aa|a\.a\.?|alpha|alfa|beta|as)|ml(?:\s*\/\s*100\s*g)?|[um]g\s*\/\s*kg)$/;

/** A figure of an analysis: "12.5", "12,5 %", "12.5% AA", "1,6 ml/100g". */
export function analysedOf(cell: string, mark: DecimalMark): number | null {
  const bare = numberOf(cell, mark);
  if (bare !== null || cell.length > FIGURE_MAX) return bare;
  return numberOf(plain(cell).trim().replace(BEHIND, ''), mark);
}

/** The one year named in a cell: "2024", "crop 2024", "Ernte 2024"; `null` where none or several are. */
export function yearOf(cell: string): number | null {
  if (cell.length > FIGURE_MAX) return null;
  const years = cell.match(/(?<!\d)(?:19|20)\d\d(?!\d)/g) ?? [];
  return years.length === 1 && !/\d/.test(cell.replace(years[0]!, '')) ? Number(years[0]) : null;
}

/** The ends of a range in a cell, "11-13 %", "11,5 – 13"; `null` where it is none. */
export function rangeIn(cell: string, mark: DecimalMark): readonly [number, number] | null {
  if (cell.length > FIGURE_MAX) return null;
  const [, from, to] =
    /^\s*([\d.,]+)\s*%?\s*(?:-|–|—|to|bis|až|à|a)\s*([\d.,]+)\s*%?\s*$/.exec(cell) ?? [];
  const ends = [from, to].map((end) => (end === undefined ? null : numberOf(end, mark)));
  return ends[0] === null || ends[1] === null ? null : [ends[0]!, ends[1]!];
}

/** Figures that only one decimal mark explains, and those that either does: 1.500 is 1.5 or 1500. */
const WITH_COMMA =
  /^[-+]?(?:\d*,(?:\d{1,2}|\d{4,})|0,\d+|\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:\.\d{3}){2,})$/;
const WITH_POINT =
  /^[-+]?(?:\d*\.(?:\d{1,2}|\d{4,})|0\.\d+|\d{1,3}(?:,\d{3})+\.\d+|\d{1,3}(?:,\d{3}){2,})$/;
const WITH_EITHER = /^[-+]?[1-9]\d{0,2}[.,]\d{3}$/;
/** What in a cell with units may be a figure. */
const FIGURES = /[-+\u2212]?(?:\d[\d.,'\s\u00a0]*\d|[.,]?\d)/g;

/** The figures of a cell, the units that stand between them left out. */
function figuresIn(cell: string): readonly string[] {
  if (cell.length > FIGURE_MAX) return [];
  return (cell.match(FIGURES) ?? []).map(bareFigure);
}

/** A figure that depends on the decimal mark, and where it stands. */
export interface DoubtfulFigure {
  readonly line: number;
  /** Index of its column. */
  readonly at: number;
  readonly cell: string;
}

/** How a list writes its figures. */
export type DecimalMarks =
  | { readonly mark: DecimalMark }
  /** Nothing shows it, so a person must say; `doubtful` is the first figure that depends on it. */
  | { readonly mark: null; readonly doubtful: DoubtfulFigure };

/**
 * The decimal mark that most figures of a list show beyond doubt. Where none does, a list parted by commas has
 * points; in another a figure like 1.500 is in doubt, and without such a figure points are assumed.
 * @param figures for each column whether it holds figures.
 */
export function decimalMarksOf(
  rows: readonly ListRow[],
  figures: readonly boolean[],
  delimiter: string,
): DecimalMarks {
  let commas = 0;
  let doubtful: DoubtfulFigure | null = null;
  for (const { line, cells } of rows) {
    for (let at = 0; at < figures.length; at += 1) {
      if (!figures[at]) continue;
      for (const figure of figuresIn(cells[at] ?? '')) {
        if (WITH_COMMA.test(figure)) commas += 1;
        else if (WITH_POINT.test(figure)) commas -= 1;
        else if (WITH_EITHER.test(figure)) doubtful ??= { line, at, cell: figure };
      }
    }
  }
  if (commas !== 0) return { mark: commas > 0 ? 'comma' : 'point' };
  return doubtful === null || delimiter === ',' ? { mark: 'point' } : { mark: null, doubtful };
}

/** What a figure in doubt may be: "1.500 may be 1.5 or 1500". */
export function doubtWords({ cell }: DoubtfulFigure): string {
  const [, whole, thousandths] = /^(.*)[.,](\d{3})$/.exec(bareFigure(cell)) ?? [];
  return `${cell} may be ${Number(`${whole}.${thousandths}`)} or ${whole}${thousandths}`;
}
