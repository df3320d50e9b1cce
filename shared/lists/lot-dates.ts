// Which dates a stored lot cannot have: harvests and openings still to come. Today is handed in, so that a lot that
// was kept never becomes unreadable because a clock is wrong; rules that need no clock stand in the schema.
import type { Problem } from '#shared/outcome.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';

/** The day it is here, like 2026-03-31. */
export function dayOf(now: Date): string {
  const two = (n: number) => String(n).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** What is wrong with the dates of a lot on that day, a day like 2026-03-31. */
export function dateProblems(
  { harvest_year, opened_on }: Pick<SavedLot, 'harvest_year' | 'opened_on'>,
  today: string,
): Problem[] {
  const problems: Problem[] = [];
  if (harvest_year !== undefined && harvest_year > Number(today.slice(0, 4))) {
    problems.push({
      path: 'harvest_year',
      message: `the harvest of ${harvest_year} is still to come; today is ${today}`,
      cure: 'Give the year of the harvest, or leave it out if it is not known',
    });
  }
  if (opened_on !== undefined && opened_on > today) {
    problems.push({
      path: 'opened_on',
      message: `${opened_on} is still to come; today is ${today}`,
      cure: 'Give the day the pack was opened, or leave it out if it is closed',
    });
  }
  return problems;
}
