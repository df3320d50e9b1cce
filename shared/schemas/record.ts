// What every record that a person keeps has: an id, and a note in own words.
import { z } from '#shared/zod.ts';

export const recordId = z
  .string()
  .check(z.regex(/^[a-z0-9-]{1,64}$/), z.describe('an id of small letters, digits and dashes'));

/** Longest note, characters. */
export const NOTE_MAX = 2000;
export const noteSchema = z.string().check(z.maxLength(NOTE_MAX));
