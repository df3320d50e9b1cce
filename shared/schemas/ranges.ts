// What a single figure of the brief may be, read from the schema that every entrance uses, so that
// a field and the command line refuse the same figures.
import { z } from '#shared/zod.ts';

export interface Range {
  readonly min: number;
  readonly max: number;
  /** Whether `min` itself is refused. */
  readonly above: boolean;
  readonly whole: boolean;
}

/** The range of a number schema, also behind `optional` or `default`. */
export function rangeOf(schema: z.core.$ZodType): Range {
  let inner: z.core.$ZodType = schema;
  while (inner instanceof z.ZodOptional || inner instanceof z.ZodDefault) inner = inner.unwrap();
  if (!(inner instanceof z.ZodNumber)) throw new TypeError('rangeOf takes the schema of a number');
  const { minValue, maxValue, format } = inner;
  return {
    min: minValue ?? -Infinity,
    max: maxValue ?? Infinity,
    above: minValue !== null && !inner.safeParse(minValue).success,
    whole: format === 'safeint',
  };
}

/** Whether a figure may stand in a field of that range. */
export function isWithin(range: Range, value: number): boolean {
  if (!Number.isFinite(value) || value > range.max || value < range.min) return false;
  if (range.above && value <= range.min) return false;
  return !range.whole || Number.isInteger(value);
}
