// Hops in the boil, so many minutes before its end: part of their oil evaporates, alpha acids isomerize, and
// what is left goes through the stand in the kettle that follows. The measured yields of late hopping are those
// of a stand near the boil, so the yield of a boil addition is computed from them: with more evaporation, and
// complete extraction.
import type { StageUse } from '#shared/stages/stages.ts';
import { condition } from '#engine/symbols/rows.ts';
import {
  exp,
  least,
  minus,
  num,
  over,
  power,
  sum,
  times,
  type Term,
} from '#engine/symbols/term.ts';
import { heldAt, isomerizedLine, UNHEATED } from '../isomerization.ts';
import type { Process } from '../process.ts';
import type { StageTerms } from '../stage.ts';
import { acidsAfterSteeps, evaporatedIn, STEEP_REFERENCE, steepedYeastTerms } from './hot-steep.ts';

export const BOIL_C = 100;

export function boilTerms(process: Process, use: StageUse<'boil'>): StageTerms {
  const { key, conditions } = use;
  const { model } = process;
  const minutes = condition(`stages.${key}.minutes`, conditions.minutes, 'Boiled', 'min');
  const stands = () => process.kettleSteepsAfter(key);
  /** Evaporation beyond that of the reference steep, in minutes of boil. */
  const spared = (): Term => {
    const reference = times(
      process.parameter('hot_steep.evaporation_share'),
      num(STEEP_REFERENCE.minutes),
    );
    return minus(reference, sum(minutes, ...evaporatedIn(process, stands())));
  };
  const kept = power(process.parameter('precursor.survival.mash'), over(minutes, num(60)));
  return {
    use,
    where: 'boil',
    loads: false,
    yieldOf: (compound) => {
      const { transferClass, boilClass } = model.compounds[compound];
      const left = exp(times(process.parameter(`boil.rate.${boilClass}`), spared()));
      const term = times(process.parameter(`hot_steep.yield.${transferClass}`), left);
      return { equation: 'boil_yield', term: least(num(1), term) };
    },
    yieldKey: (compound) => {
      const { transferClass, boilClass } = model.compounds[compound];
      return `${transferClass} ${boilClass}`;
    },
    yeast: steepedYeastTerms(process),
    bound: { cys: [kept], g: [kept] },
    alpha: {
      kind: 'hot',
      factors: [],
      isomerized: () =>
        process.once(`isomerized ${key}`, () => {
          const boiled = heldAt(process, key, UNHEATED, num(BOIL_C), minutes);
          const after = acidsAfterSteeps(process, key, boiled, stands());
          return isomerizedLine('Isomerized in the boil and after it', after.acids, after.cooled);
        }),
      cap: process.parameter('iso.hot_alpha_cap'),
    },
    extracted: null,
    leavesLeaf: false,
    loss: () => process.parameter('loss.boil'),
    madeUpIn: 'kettle',
    creepDays: null,
  };
}
