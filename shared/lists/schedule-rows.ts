// A schedule as rows of a list, a line for each addition, headed by our own names; the reader of lists reads them
// back to the same additions and, as far as a list can hold them, the same stages.
import { ANALYTES } from '#shared/ids.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { kindNamed, stageName } from '#shared/stages/kinds.ts';
import { stageAt } from '#shared/stages/stages.ts';
import type { AdditionColumn } from './lot-columns.ts';

const STAGE_FIELDS = ['minutes', 'hours', 'day', 'temp_c'] as const;
const FIRST = ['hop', 'form', 'stage', 'grams'] as const;

type ScheduleRow = Partial<Record<AdditionColumn, string | number>>;

/** The stage in the words of its kind, and its figures as far as a list of that kind has them. */
function stageCells({ stages }: Pick<Schedule, 'stages'>, key: string): ScheduleRow {
  const use = stageAt(stages, key);
  if (!use) return { stage: stageName(key) };
  const { listed, name } = kindNamed(use.kind);
  const conditions = use.conditions as Readonly<Record<string, unknown>>;
  const given = STAGE_FIELDS.filter(
    (field) => field === listed.time.field || field === listed.temperature || field === listed.day,
  );
  const figures = given.flatMap((field) => {
    const value = conditions[field];
    return typeof value === 'number' ? [[field, value] as const] : [];
  });
  return { stage: name, ...Object.fromEntries(figures) };
}

function rowOf(schedule: Pick<Schedule, 'stages'>, addition: Addition): ScheduleRow {
  const { hop, form, grams, price_per_kg, package_g, analysis = {} } = addition;
  return {
    hop,
    form,
    grams,
    ...stageCells(schedule, addition.stage),
    ...(price_per_kg !== undefined && { price_per_kg }),
    ...(package_g !== undefined && { package_g }),
    ...analysis,
  };
}

/** The head and a row for each addition; columns nobody fills are left out. */
export function scheduleRows(schedule: Pick<Schedule, 'stages' | 'additions'>): string[][] {
  const rows = schedule.additions.map((addition) => rowOf(schedule, addition));
  const columns: readonly AdditionColumn[] = [
    ...FIRST,
    ...STAGE_FIELDS,
    'price_per_kg',
    'package_g',
    ...ANALYTES,
    'precursor',
  ];
  const used = columns.filter(
    (column) => (FIRST as readonly string[]).includes(column) || rows.some((row) => column in row),
  );
  return [[...used], ...rows.map((row) => used.map((column) => String(row[column] ?? '')))];
}
