// Whether the blend shown is a replacement or saving that the person has taken.
import type { Replacement } from '#shared/answers/comparison.ts';
import type { Blend } from '#shared/answers/answer.ts';
import { additionsOf, changesBetween } from '#state/documents/by-hand.ts';
import type { Workbench } from './workbench.svelte.ts';

/** Whether the blend shown is this one, taken over as the person's own. */
export function isTaken({ own }: Workbench, { additions }: Pick<Blend, 'additions'>): boolean {
  const taken = own.additions;
  return taken !== null && changesBetween(additionsOf(taken), additions).length === 0;
}

/** A replacement that was taken, with the hop it replaces. */
export interface TakenReplacement {
  readonly hop: string;
  readonly blend: Replacement;
}

/** The replacement that is shown; `null` where none is shown, or its question is no longer known. */
export function takenReplacement(workbench: Workbench): TakenReplacement | null {
  const { question, finding } = workbench.inquiries.swap;
  const blend = finding?.blends.find((one) => isTaken(workbench, one));
  return question && blend ? { hop: question.replace, blend } : null;
}
