// What a standard has no field for stands in the notes of the recipe: one sentence for people, then the
// schedule as one line of JSON for our own reader. A program that knows neither shows them as notes.
import { isFields } from '#shared/fields.ts';
import { check } from '#shared/reading/check.ts';
import { readJson } from '#shared/reading/json.ts';
import { scheduleSchema, type Schedule } from '#shared/schemas/brief.ts';
import type { Percent } from '#shared/units.ts';
import { z } from '#shared/zod.ts';

const FIELD = 'hop_schedule';
const SENTENCE =
  'The hop schedule in full, as JSON: forms, temperatures and analyses that this format has no field for.';
const LINE = new RegExp(String.raw`^\{"${FIELD}":.*\}[ \t]*$`, 'mu');

/** The notes without what we wrote into them. */
export function othersNotes(notes: string): string {
  const line = LINE.exec(notes);
  if (!line) return notes;
  const before = notes.slice(0, line.index).trimEnd();
  const own = before.endsWith(SENTENCE) ? before.slice(0, -SENTENCE.length).trimEnd() : before;
  const after = notes.slice(line.index + line[0].length).trim();
  return [own, after].filter((part) => part !== '').join('\n\n');
}

/** A schedule in the notes, with the alpha acids that were written for each of its additions. */
export interface KeptSchedule {
  readonly schedule: Schedule;
  readonly alpha_pct: readonly Percent[];
}

const alphasSchema = z.array(z.number()).check(z.maxLength(500));

/** The notes with a schedule written into them; the recipe it came from stays out. */
export function notesWith(notes: string, { schedule, alpha_pct }: KeptSchedule): string {
  const { recipe: _, ...own } = schedule;
  const others = othersNotes(notes);
  const ours = `${SENTENCE}\n${JSON.stringify({ [FIELD]: own, alpha_pct })}`;
  return others === '' ? ours : `${others}\n\n${ours}`;
}

/** The schedule that stands in the notes; `null` where there is none, or none that can be read. */
export function keptIn(notes: string): KeptSchedule | null {
  const line = LINE.exec(notes);
  if (!line) return null;
  const { value, problems } = readJson(line[0].trim());
  if (problems.length > 0 || !isFields(value)) return null;
  const schedule = check(value[FIELD], scheduleSchema);
  const alphas = check(value['alpha_pct'], alphasSchema);
  if (!schedule.ok || !alphas.ok) return null;
  if (alphas.value.length !== schedule.value.additions.length) return null;
  return { schedule: schedule.value, alpha_pct: alphas.value };
}
