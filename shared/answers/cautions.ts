// Where a step of the schedule can hurt someone: what is told beside that step.
// Plain cautions, not safety instructions: local codes and the equipment's maker come first.
import { STAGES, type StageId } from '#shared/ids.ts';

/** Beside every figure of hop creep. */
export const CREEP_CAUTION =
  'Dry hops let live yeast ferment further (hop creep), and the pressure may burst bottles and cans. A gravity that stands still in cold beer proves nothing: the yeast only rests. Package when it stands still at the temperature of fermentation, or keep the package cold to the last.';

/** Cautions by the stage they stand beside. The mash is no more dangerous with hops than without. */
export const CAUTIONS: Readonly<Record<StageId, readonly string[]>> = {
  mash: [],
  boil: ['Hops make boiling wort foam over and scald: add them slowly, and stand back.'],
  hot_steep: [
    'Hot wort and hot water scald: open and move a steep with gloves and face protection, and never shut one tight without a vent.',
  ],
  dry_hop: [
    'Hops dropped into beer that holds gas make it foam over: let the pressure off first, and add slowly through an opening wider than the foam needs.',
    'Carbon dioxide from a fermenter collects in closed and low rooms and is not noticed in time: ventilate, and follow the local limits.',
    CREEP_CAUTION,
  ],
};

/** Cautions for the handling of hops after use and of the beer, whatever the stage. */
export const GENERAL_CAUTIONS: readonly string[] = [
  'Spent hops can kill dogs: bin them closed. A dog that ate some needs a vet at once.',
  'Brewing, selling and serving alcohol is governed by local law.',
];

/** What is told for the stages in use, in the order of the process. */
export function cautionsFor(stages: readonly StageId[]): string[] {
  if (stages.length === 0) return [];
  const told = STAGES.filter((stage) => stages.includes(stage)).flatMap((stage) => CAUTIONS[stage]);
  return [...told, ...GENERAL_CAUTIONS];
}
