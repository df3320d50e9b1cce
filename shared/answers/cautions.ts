// Where a step of the schedule can hurt someone: the cautions of the stages in use and of what follows them. Plain
// cautions, not safety instructions: local codes and the equipment's maker come first.
import { kindNamed, STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';

/** Cautions for the handling of hops after use and of the beer, whatever the stage. */
export const SPENT_HOPS_CAUTION =
  'Spent hops can kill dogs: bin them closed. A dog that ate some needs a vet at once.';
export const LAW_CAUTION = 'Brewing, selling and serving alcohol is governed by local law.';
export const GENERAL_CAUTIONS: readonly string[] = [SPENT_HOPS_CAUTION, LAW_CAUTION];

/** Shown wherever a brew day is shown. */
export const CODES_FIRST =
  'Local codes and the makers of your vessels come before anything said here.';

/** The cautions of the kinds of stage in use, in the order of the process. */
export function cautionsFor(kinds: readonly StageKind[]): string[] {
  if (kinds.length === 0) return [];
  const used = STAGE_KINDS.filter((kind) => kinds.includes(kind));
  return [...used.flatMap((kind) => kindNamed(kind).cautions), ...GENERAL_CAUTIONS];
}
