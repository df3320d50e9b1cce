// How large the letters of a printed brew sheet are: as large as keeps it on one sheet of A4. Estimated from the
// count of letters in each column, before a browser lays the sheet out; the page prints by it, and the HTML it saves.
import type { BrewSheet } from '#shared/answers/sheet.ts';
import type { UnitSystem } from '#shared/units.ts';
import { LEAST_LETTERS_PT } from './html.ts';
import { cautionsOnce, sheetWords, type SheetWords, type StepWords } from './sheet-words.ts';

/** The largest letters that are used, pt. */
const LARGEST_PT = 10;
const STEP_PT = 0.1;
const PT_PER_MM = 72 / 25.4;
/** Room on the paper within its margins. */
const HEIGHT_PT = 279 * PT_PER_MM;
/** Widths of a line: all of the paper, a step's left column, its right one. */
const [WIDTH_PT, LEFT_PT, RIGHT_PT] = [188, 60, 119].map((mm) => mm * PT_PER_MM) as [
  number,
  number,
  number,
];
/** Width of a letter in parts of its size: that of a wide face, on the average of running text. */
const LETTER = 0.57;
/** Letters that the weight before a hop has room for. */
const MASS_LETTERS = 8;
const LINE_HEIGHT = 1.17;
/** Above, below and between the parts of a step, pt. */
const STEP_GAP_PT = 5;
/** The title, and the rules and gaps between the parts of the sheet, pt. */
const FRAME_PT = 40;

/** Letters by which a line ends early, because a word is not parted. */
const RAGGED = 3;
/** Lines that so many letters take, at so many letters a line. */
const linesOf = (letters: number, aLine: number) => Math.ceil(letters / (aLine - RAGGED));
const sum = (figures: readonly number[]) => figures.reduce((all, one) => all + one, 0);

/** Lines of a step: the longer of its two columns. */
function stepLines(
  { step, title, days, weigh, figures }: StepWords,
  cautions: readonly string[],
  [left, right]: readonly [number, number],
): number {
  const head = [title, ...days, step.vessel].join(' to ').length;
  const weighed = weigh.map(({ what }) => linesOf(what.length, left - MASS_LETTERS));
  const told = figures.map(({ name, value, rests }) => `${name} ${value}${rests}  `).join('');
  const words = step.instructions.join(' ').length;
  // Each caution begins a line of its own, in letters a tenth smaller, set in from its rule.
  const warned = cautions.map((caution) => 0.9 * linesOf(caution.length + 4, right / 0.9));
  return Math.max(
    linesOf(head, left) + sum(weighed),
    linesOf(told.length, right) + linesOf(words, right) + sum(warned),
  );
}

/** Height of the sheet in letters of so many pt. */
function height(sheet: SheetWords, cautions: readonly (readonly string[])[], size: number): number {
  const letters = (width: number) => Math.floor(width / (LETTER * size));
  const [all, left, right] = [letters(WIDTH_PT), letters(LEFT_PT), letters(RIGHT_PT)];
  const steps = sheet.steps.map((step, i) => stepLines(step, cautions[i] ?? [], [left, right]));
  const note = sheet.note === '' ? [] : sheet.note.split('\n');
  const lines = [
    linesOf(sheet.facts.join(', ').length, all),
    ...note.map((row) => Math.max(1, linesOf(row.length, all))),
    ...steps,
    1 + Math.max(sheet.expected.length, Math.ceil(sheet.profile.length / 2)),
    ...sheet.cautions.map((caution) => linesOf(caution.length, all)),
  ];
  return sum(lines) * size * LINE_HEIGHT + sheet.steps.length * STEP_GAP_PT + FRAME_PT;
}

/** Size of the letters on paper, pt, from 7.7 to 10. */
export function letterSize(sheet: BrewSheet, system: UnitSystem): number {
  const words = sheetWords(sheet, system);
  const cautions = cautionsOnce(sheet.steps);
  let size = LARGEST_PT;
  while (size > LEAST_LETTERS_PT && height(words, cautions, size) > HEIGHT_PT) size -= STEP_PT;
  return Math.max(LEAST_LETTERS_PT, Number(size.toFixed(1)));
}
