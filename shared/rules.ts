// What the rules of several schemas share: figures, and how a rule between fields tells its cure.
import { z } from './zod.ts';

/** A figure of a document: any finite number. */
export const finite = z.number();

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
