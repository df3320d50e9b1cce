// Words of cells that stand for one of ours, in English, German, Czech, French and Spanish: the form of a
// hop, how a lot is packed, yes and no, and the words that head a line of sums.
import { FORMS, type FormId } from '#shared/ids.ts';
import { PACKINGS } from '#shared/schemas/lot.ts';
import { PACKS } from '#shared/schemas/workspace.ts';
import { joined, plain, wordsIn } from './folding.ts';
import type { ListColumn } from './lot-columns.ts';

type Beginnings = Readonly<Record<string, string>>;

/** For each value the beginnings of the words that stand for it. */
type Begun<Value extends string> = readonly (readonly [Value, readonly string[]])[];

function begun<Value extends string>(
  ...values: readonly (readonly [Value, string])[]
): Begun<Value> {
  return values.map(([value, begins]) => [value, begins.split(' ')]);
}

/** The values that some words stand for. */
function valuesMeant<Value extends string>(
  values: Begun<Value>,
  words: readonly string[],
): Value[] {
  return values.flatMap(([value, begins]) =>
    begins.some((begin) => words.some((word) => isWordOf(word, begin))) ? [value] : [],
  );
}

/** Figures and short beginnings must be the whole word. */
const isWordOf = (word: string, begin: string) =>
  word === begin || (begin.length >= 4 && word.startsWith(begin));

/** Beginnings of the words of a form. A pellet that is also enriched is an enriched one. */
const FORM_WORDS = begun<FormId>(
  [
    'pellet_enriched',
    't45 45 enriched lupulin angereichert anreicherung koncentrovan enrichi enriquecid concentrad',
  ],
  ['pellet_90', 'pellet t90 90 granul pelet'],
  [
    'cone',
    'cone whole leaf loose dolden naturhopfen bluten hlavk sistic cones fleur feuille flor cono entero entera',
  ],
);
const FORM_NAMES = new Map(FORMS.map((form) => [joined(form), form]));

/** Beginnings of the words for how a lot is packed. */
const PACK_WORDS = begun(
  ['vacuum', 'vac vacuum vakuu vakuov sealed foil vide vacio si yes ja ano oui'],
  ['inert_gas', 'nitrogen nitrogeno n2 co2 inert schutzgas ochrann azote stickstoff dusik'],
  [
    'open',
    'open opened loose offen geoffn geoeffn angebrochen otevre ouvert abiert no nein ne non',
  ],
);
const truths: Beginnings = Object.fromEntries(
  [
    ['true', 'true yes y x 1 ja ano oui si wahr vrai'],
    ['false', 'false no n 0 nein ne non falsch faux'],
  ].flatMap(([truth, words]) => words!.split(' ').map((word) => [word, truth!])),
);

/** Words that stand for values, by the column. */
const VALUES: Readonly<Partial<Record<ListColumn, Beginnings>>> = {
  pack: own(PACKS),
  packed: { ...own(PACKINGS), open: 'opened' },
  out_of_stock: truths,
};

function own(names: readonly string[]): Beginnings {
  return Object.fromEntries(names.map((name) => [joined(name), name]));
}

/** The form that words name: "Pellets T90", "Dolden", "granulado"; `null` where they name none or two. */
export function formOf(text: string): FormId | null {
  const named = FORM_NAMES.get(joined(text));
  if (named) return named;
  const found = valuesMeant(FORM_WORDS, wordsIn(text));
  if (found.length === 2 && found[0] === 'pellet_enriched' && found[1] === 'pellet_90')
    return found[0];
  const typed = /\b(?:t|typ|type|tipo)\s*-?\s*(45|90)\b/.exec(plain(text));
  if (typed) return typed[1] === '45' ? 'pellet_enriched' : 'pellet_90';
  return found.length === 1 ? found[0]! : null;
}

/** How a lot is packed, in words: "vakuový sáček", "sous vide"; `null` where they name none or two. */
function packOf(text: string): string | null {
  const found = valuesMeant(PACK_WORDS, wordsIn(text));
  return found.length === 1 ? found[0]! : null;
}

/** Whether a cell says by itself how a lot is packed; a mere yes or no does not. */
export function isPacking(cell: string): boolean {
  return packOf(cell) !== null && !Object.hasOwn(truths, joined(cell));
}

/** Whether a cell has words that the column is for. */
export function isValueOf(column: ListColumn, cell: string): boolean {
  if (column === 'form') return formOf(cell) !== null;
  if (column === 'pack' && packOf(cell) !== null) return true;
  return Object.hasOwn(VALUES[column] ?? {}, joined(cell));
}

/** What a cell stands for in our words; the cell itself where it has none of those known. */
export function valueOf(column: ListColumn, cell: string): string {
  if (column === 'form') return formOf(cell) ?? cell;
  const values = VALUES[column] ?? {};
  const word = joined(cell);
  if (Object.hasOwn(values, word)) return values[word]!;
  return (column === 'pack' ? packOf(cell) : null) ?? cell;
}

/** What heads a line of sums below a list. */
const SUMS =
  /^(?:(?:grand|sub)?totals?|sum|summe|gesamt(?:summe|menge)?|insgesamt|celkem|soucet|somme|suma|sumatotal|totalgeneral|totalgeneralkg)$/;

/** Whether a cell is the head of a line of sums: "Total", "Summe:", "Celkem". */
export function isSum(cell: string): boolean {
  return cell.length < 30 && SUMS.test(joined(cell.replace(/\(.*\)|\bkg\b|\bg\b/g, '')));
}
