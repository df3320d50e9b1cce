// What the rules of several schemas share: figures, and how a rule between fields carries its cure.
import { z } from './zod.ts';

/** The description of a schema: the message where the part is missing or wrong (shared/reading/check.ts). */
const meant = (meaning: string | undefined) => (meaning === undefined ? [] : [z.describe(meaning)]);

/** A figure of a document in a unit of units.ts, as in `figure<Celsius>(30, 100)`; `number` has none. */
export type FigureIn<Unit extends number> = z.ZodMiniType<Unit, Unit>;

/** A figure of a document, from `min` up to `max`. */
export function figure<Unit extends number = number>(
  min: NoInfer<Unit>,
  max: NoInfer<Unit>,
  meaning?: string,
): FigureIn<Unit> {
  const schema = z.number().check(z.minimum(min), z.maximum(max), ...meant(meaning));
  return schema as unknown as FigureIn<Unit>;
}

/** A figure above 0 and up to `max`. */
export function positive<Unit extends number = number>(
  max: NoInfer<Unit>,
  meaning?: string,
): FigureIn<Unit> {
  const schema = z.number().check(z.positive(), z.maximum(max), ...meant(meaning));
  return schema as unknown as FigureIn<Unit>;
}

/** A whole number from `min` up to `max`. */
export function count(min: number, max: number, meaning?: string): z.ZodMiniNumber {
  return z.int().check(z.minimum(min), z.maximum(max), ...meant(meaning));
}

/** A rule between the fields of one object, checked even when one of its other fields is at fault. */
export function rule(message: string, cure: string) {
  return {
    message,
    params: { cure },
    when: ({ value }: { value: unknown }) => typeof value === 'object' && value !== null,
  };
}

/** Whether the first figure lies above the second; never where one of them is not a figure. */
export function above(first: number | undefined, second: number | undefined): boolean {
  return typeof first === 'number' && typeof second === 'number' && first > second + 1e-9;
}
