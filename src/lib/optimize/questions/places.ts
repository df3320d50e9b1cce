// Where a replacement may stand: one hop in one form, on at most two new lines, at the stages the old
// hop stood at. Of more columns than lines every set of lines is tried, those proven worse left out.
import type { FormId } from '#shared/ids.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** New lines in a schedule that take the place of the hop that is gone. */
export const LINES_AT_MOST = 2;

/** One hop in one form: its columns at some stages. */
export interface Place {
  readonly variety: number;
  readonly form: FormId;
  readonly columns: readonly number[];
}

/** Every hop in every form it is offered in, at some stages; `null`: at all of them. */
export function placesOf(
  problem: BlendProblem,
  variety: number,
  stages: ReadonlySet<string> | null,
): Place[] {
  const byForm = new Map<FormId, number[]>();
  for (const j of problem.columnsOfVariety[variety]!) {
    const { form, stage } = problem.columns[j]!;
    if (stages && !stages.has(stage!)) continue;
    const there = byForm.get(form);
    if (there) there.push(j);
    else byForm.set(form, [j]);
  }
  return [...byForm].map(([form, columns]) => ({ variety, form, columns }));
}

/** The largest sets of lines that one hop in one form may take. */
export function* lineSets({ columns }: Place): Generator<readonly number[]> {
  if (columns.length <= LINES_AT_MOST) return yield columns;
  for (const [i, a] of columns.entries()) for (const b of columns.slice(i + 1)) yield [a, b];
}

/** The sets of one line each that two hops may take. */
export function* sharedLineSets(
  some: readonly Place[],
  others: readonly Place[],
): Generator<readonly number[]> {
  for (const { columns } of some)
    for (const a of columns)
      for (const place of others) for (const b of place.columns) yield [a, b];
}

/** Whether doses take no more lines than there may be, and no hop in two forms. */
export function fitsLines({ columns }: BlendProblem, doses: Doses): boolean {
  const lines = doses.columns.filter((j) => columns[j]!.stage !== null);
  if (lines.length > LINES_AT_MOST) return false;
  const forms = new Set(lines.map((j) => `${columns[j]!.variety}|${columns[j]!.form}`));
  return forms.size === new Set(lines.map((j) => columns[j]!.variety)).size;
}
