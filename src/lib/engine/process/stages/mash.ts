// Hops in the mash, and the boil that follows: little of their oil survives, some of their alpha acids reach
// the kettle, and their bound thiols matter most.
import type { StageUse } from '#shared/stages/stages.ts';
import { condition } from '#engine/symbols/rows.ts';
import { decay, num, over, power, times } from '#engine/symbols/term.ts';
import { heldAt, isomerizedLine, UNHEATED } from '../isomerization.ts';
import type { Process } from '../process.ts';
import { BOIL_C } from './boil.ts';
import type { StageTerms } from '../stage.ts';
import { throughFermentation } from '../yeast.ts';

export function mashTerms(process: Process, use: StageUse<'mash'>): StageTerms {
  const { key, conditions } = use;
  const boil = condition(`stages.${key}.boil_minutes`, conditions.boil_minutes, 'Boil', 'min');
  const kept = power(process.parameter('precursor.survival.mash'), over(boil, num(60)));
  return {
    use,
    where: 'mash',
    loads: false,
    yieldOf: (compound) => {
      const { boilClass } = process.model.compounds[compound];
      return {
        equation: 'mash_yield',
        term: times(
          process.parameter('mash.lauter'),
          decay(process.parameter(`boil.rate.${boilClass}`), boil),
        ),
      };
    },
    yieldKey: (compound) => process.model.compounds[compound].boilClass,
    yeast: throughFermentation(process, () => true),
    bound: { cys: [kept, process.parameter('precursor.mash_release')], g: [kept] },
    alpha: {
      kind: 'hot',
      factors: [process.parameter('mash.alpha_to_kettle')],
      isomerized: () =>
        process.once(`isomerized ${key}`, () =>
          isomerizedLine(
            'Isomerized in the boil',
            heldAt(process, key, UNHEATED, num(BOIL_C), boil),
            false,
          ),
        ),
      cap: process.parameter('iso.hot_alpha_cap'),
    },
    extracted: null,
    leavesLeaf: false,
    loss: () => process.parameter('loss.mash'),
    madeUpIn: 'mash',
    creepDays: null,
  };
}
