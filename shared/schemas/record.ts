// What every record that a person keeps has: an id, and a note in own words.
import { z } from '#shared/zod.ts';

export const recordId = z
  .string()
  .regex(/^[a-z0-9-]{1,64}$/)
  .describe('an id of small letters, digits and dashes');

export const noteSchema = z.string().max(2000);
