// From text to a brief or a schedule, or to every problem of the text, in its syntax and in its content together.
// Pure: the command line and the page read through it alike.
import type { z } from 'zod/mini';
import { check } from './check.ts';
import { readJson } from './json.ts';
import { isFields } from '#shared/fields.ts';
import { failure, type Outcome } from '#shared/outcome.ts';
import { Problems } from './problems.ts';
import { saveSchema, swapSchema, type Save, type Swap } from '#shared/schemas/asked.ts';
import { briefSchema, scheduleSchema, type Brief, type Schedule } from '#shared/schemas/brief.ts';
import { seasonSchema, type Season } from '#shared/schemas/season.ts';

/** Reads a brief to design from. Fails with all problems found. */
export function readBrief(text: string): Outcome<Brief> {
  return readDocument(text, briefSchema);
}

/** Reads a schedule to predict. Fails with all problems found. */
export function readSchedule(text: string): Outcome<Schedule> {
  return readDocument(text, scheduleSchema);
}

/** Reads a schedule in which one hop is to be replaced. Fails with all problems found. */
export function readSwap(text: string): Outcome<Swap> {
  return readDocument(text, swapSchema);
}

/** Reads a schedule to make cheaper or lighter. Fails with all problems found. */
export function readSave(text: string): Outcome<Save> {
  return readDocument(text, saveSchema);
}

/** Reads a season to plan; its briefs need name no candidates. Fails with all problems found. */
export function readSeason(text: string): Outcome<Season> {
  return readDocument(text, seasonSchema, (value) => {
    if (!isFields(value) || !Array.isArray(value.batches)) return value;
    const batches = value.batches.map((batch: unknown) =>
      isFields(batch) && isFields(batch.brief)
        ? { ...batch, brief: { candidates: 'table', ...batch.brief } }
        : batch,
    );
    return { ...value, batches };
  });
}

/** @param completed adds to the value what the kind of document leaves out, before it is checked. */
function readDocument<T>(
  text: string,
  schema: z.ZodMiniType<T>,
  completed: (value: unknown) => unknown = (value) => value,
): Outcome<T> {
  const { value: read, problems } = readJson(text);
  const value = read === undefined ? undefined : completed(read);
  if (value === undefined) return failure(...problems);
  const outcome = check(value, schema);
  if (problems.length === 0) return outcome;
  if (outcome.ok) return failure(...problems);
  const named = new Set(problems.map((p) => p.path));
  const all = new Problems();
  all.addAll(problems);
  all.addAll(outcome.problems.filter((p) => p.further !== undefined || !named.has(p.path)));
  return failure(...all.list);
}
