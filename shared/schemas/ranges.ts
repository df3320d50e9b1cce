// What a single figure of the brief may be, read from the schema that every entrance uses, so that
// a field and the command line refuse the same figures.
import type { z } from '#shared/zod.ts';

export interface Range {
  readonly min: number;
  readonly max: number;
  /** Whether `min` itself is refused. */
  readonly above: boolean;
  readonly whole: boolean;
}

/** The range of a number schema, also behind `optional` or `default`. */
export function rangeOf(schema: z.core.$ZodType): Range {
  const { def } = (schema as z.core.$ZodTypes)._zod;
  if (def.type === 'optional' || def.type === 'default') return rangeOf(def.innerType);
  if (def.type !== 'number') throw new TypeError('rangeOf takes the schema of a number');
  const checks = (def.checks ?? []).map((check) => (check as z.core.$ZodChecks)._zod.def);
  const low = checks.find((c) => c.check === 'greater_than');
  const high = checks.find((c) => c.check === 'less_than');
  return {
    min: low ? Number(low.value) : -Infinity,
    max: high ? Number(high.value) : Infinity,
    above: low?.inclusive === false,
    whole: 'format' in def,
  };
}

/** Whether a figure may stand in a field of that range. */
export function isWithin(range: Range, value: number): boolean {
  if (!Number.isFinite(value) || value > range.max || value < range.min) return false;
  if (range.above && value <= range.min) return false;
  return !range.whole || Number.isInteger(value);
}
