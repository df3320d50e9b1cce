// The days of a brew sheet as an iCalendar file (RFC 5545): one event for the brew day, one for each dry hop
// over all its days, one for the cold crash and the package. Whole days: when on a day is the brewer's to say.
import ical, { ICalEventTransparency } from 'ical-generator';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { BrewSheet, SheetStep } from '#shared/answers/sheet.ts';
import { HOURS_PER_DAY, type UnitSystem } from '#shared/units.ts';
import { plainSpaces } from '#wording/format.ts';
import { sheetWords, type StepWords } from './sheet-words.ts';

const MS_PER_DAY = HOURS_PER_DAY * 3_600_000;
const dayOf = (date: string, more = 0) =>
  new Date(Date.parse(`${date}T00:00:00Z`) + more * MS_PER_DAY);

/** Whole days a step takes. */
function daysOf({ day, ends_day: ends }: SheetStep): number {
  return Math.max(1, (ends ?? day) - day);
}

function descriptionOf(steps: readonly StepWords[]): string {
  const words = steps
    .map(({ step, title, weigh, figures }) =>
      [
        title,
        ...weigh.map(({ mass, what }) => `  ${mass} ${what}`),
        ...figures.map(({ name, value, rests }) => `  ${name}: ${value}${rests}`),
        ...step.instructions.map((words) => `  ${words}`),
        ...step.cautions.map((words) => `  Take care: ${words}`),
      ].join('\n'),
    )
    .join('\n');
  return plainSpaces(words);
}

/**
 * The calendar. Fails without a brew day.
 * @param id of the design or batch: the same brew keeps its events when it is taken in again.
 * @param written when the file is made.
 */
export function sheetCalendar(
  sheet: BrewSheet,
  id: string,
  written: Date,
  system: UnitSystem = 'metric',
): Outcome<string> {
  if (sheet.brewed_on === null) {
    return failure({
      path: 'brewed_on',
      message: 'a calendar needs a brew day',
      cure: 'Give the brew day, like 2026-04-03',
    });
  }
  const texts = sheetWords(sheet, system);
  const calendar = ical({
    name: texts.title,
    prodId: { company: 'Blendbine', product: 'brew sheet' },
  });
  const event = (key: string, summary: string, steps: readonly StepWords[]) => {
    const [{ step }] = steps as [StepWords];
    calendar.createEvent({
      id: `${id}-${encodeURIComponent(key)}@blendbine`,
      start: dayOf(step.date!),
      end: dayOf(step.date!, daysOf(step)),
      allDay: true,
      stamp: written,
      summary,
      description: descriptionOf(steps),
      transparency: ICalEventTransparency.TRANSPARENT,
    });
  };
  const first = texts.steps.filter(({ step }) => step.day === 0 && step.kind !== 'dry_hop');
  if (first.length > 0) event('brew', `Brew ${texts.title}`, first);
  for (const step of texts.steps) {
    if (!first.includes(step)) event(step.step.id, `${step.title}: ${texts.title}`, [step]);
  }
  return success(calendar.toString());
}
