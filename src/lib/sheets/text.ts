// The brew sheet as plain text: one step below the other, what is weighed out first, cautions beside their
// step.
import type { BrewSheet } from '#shared/answers/sheet.ts';
import type { UnitSystem } from '#shared/units.ts';
import { plainSpaces } from '#wording/format.ts';
import { cautionsOnce, sheetWords, type StepWords } from './sheet-words.ts';

const WIDTH = 90;

/** Words in lines of at most so many characters, all of them indented. */
function lines(text: string, indent: string): string[] {
  const rows: string[] = [];
  let row = indent;
  for (const word of text.split(/\s+/).filter(Boolean)) {
    if (row.length + word.length > WIDTH && row.trim() !== '') {
      rows.push(row);
      row = indent;
    }
    row += row === indent ? word : ` ${word}`;
  }
  return [...rows, row];
}

function stepLines(
  { step, title, days, weigh, figures }: StepWords,
  number: number,
  cautions: readonly string[],
) {
  return [
    `[ ] ${number}. ${title}  (${[days.join(' to '), step.vessel.toLowerCase()].filter(Boolean).join(', ')})`,
    ...weigh.map(({ mass, what }) => `      ${mass.padEnd(9)} ${what}`),
    ...figures.map(({ name, value, rests }) => `      ${name}: ${value}${rests}`),
    ...step.instructions.flatMap((words) => lines(words, '      ')),
    ...cautions.flatMap((words) => lines(`! ${words}`, '      ')),
  ].map(plainSpaces);
}

/** Ends with a line break. */
export function sheetText(sheet: BrewSheet, system: UnitSystem = 'metric'): string {
  const texts = sheetWords(sheet, system);
  const cautions = cautionsOnce(sheet.steps);
  const parts: string[][] = [
    [texts.title, plainSpaces(texts.facts.join(', '))],
    ...(texts.note === '' ? [] : [['Notes:', ...texts.note.split('\n').map((row) => `  ${row}`)]]),
    ...texts.steps.map((step, i) => stepLines(step, i + 1, cautions[i]!)),
    [
      'Expected:',
      ...texts.expected.map(({ name, value, rests }) => plainSpaces(`  ${name}: ${value}${rests}`)),
    ],
    [
      'Aroma, 1 just noticeable to 6 dominant, in brackets 10 to 90 %:',
      ...texts.profile.map(({ name, value, rests }) => `  ${name.padEnd(14)} ${value}${rests}`),
    ],
    texts.cautions.flatMap((words) => lines(`! ${words}`, '')),
  ];
  return `${parts.map((part) => part.join('\n')).join('\n\n')}\n`;
}
