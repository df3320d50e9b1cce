// What the ids are called on screen, in print and by a screen reader: one name per thing.
import compoundRows from '#data/generated/compound-names.json' with { type: 'json' };
import type { AxisId, ThiolClass } from '#shared/ids.ts';
import { analyteName } from '#engine/tables/names.ts';
import { isStageKind, spokenStage } from '#shared/stages/kinds.ts';
import { AXIS_NAMES } from '#shared/words.ts';
import type { LimitFigure, Minimise } from '#shared/schemas/brief.ts';
import type { AttainableRange } from '#optimize/live/attainable-range.ts';
import type { WishKind } from '#state/documents/wish.ts';
import { intensity } from './format.ts';

export { analyteName, analyteUnit, compoundName, compoundSign } from '#engine/tables/names.ts';

export const WISH_KIND_NAMES: Readonly<Record<WishKind, string>> = {
  free: 'free',
  aim: 'aim at',
  at_least: 'at least',
  at_most: 'at most',
};

/** How far an axis can go alone. */
export function reachText({ least, most }: AttainableRange): string {
  return `can go from ${intensity(least)} to ${intensity(most)}`;
}

export const MINIMISE_NAMES: Readonly<Record<Minimise, string>> = {
  weight: 'Weight of hops',
  cost: 'Cost',
  leaf: 'Leaf after the mash',
  closest: 'Distance from the aims',
};

/** Limits as they are spoken of. */
export const LIMIT_NAMES: Readonly<Record<LimitFigure, string>> = {
  ibu_at_most: 'the IBU maximum',
  ibu_at_least: 'the IBU minimum',
  hops_at_most: 'the number of hops',
  forms_per_hop_at_most: 'the number of forms of one hop',
  additions_at_most: 'the number of additions',
  share_at_most: 'the largest share of one hop',
  leaf_g_per_l_after_mash_at_most: 'the leaf limit',
  smallest_addition_g: 'the smallest addition',
  weigh_step_g: 'the weighing step',
  cost_at_most: 'the budget',
  holds_in_lots_at_least: 'the share of lots',
};
/** Other fields of a brief that a message may name. */
const FIELD_NAMES: Readonly<Record<string, string>> = {
  at_least: 'the minimum',
  at_most: 'the maximum',
  beer_l: 'the beer volume',
  stage_forms: 'a limit on forms',
  stage_at_most_g_per_l: 'a limit on doses',
};

/** A note inside a sentence that has commas of its own: "woody/earthy". */
export function noteInList(axis: AxisId): string {
  return AXIS_NAMES[axis].toLowerCase().replace(', ', '/');
}

/** Compounds with a threshold, but none of this school. */
export function withoutOwnThreshold(school: 'japanese' | 'us'): string[] {
  return compoundRows.filter((c) => c.threshold && !c.schools.includes(school)).map((c) => c.name);
}

/** Which thiols a variety is worth buying for. */
export const THIOL_CLASS_NAMES: Readonly<Record<ThiolClass, string>> = {
  free: 'free',
  bound: 'bound',
  both: 'free and bound',
  low: 'little of either',
  unknown: 'not known',
};

const PATH_OR_ID =
  /\b(?:(?:target|limits|stages|batch)(?:\.[a-z0-9_]+)+|[a-z]+[0-9]*(?:_[a-z0-9]+)+)\b/g;

/** A message about a document for people who see fields: every path and id put into words. */
export function inWords(message: string): string {
  const names: Readonly<Record<string, string>> = { ...LIMIT_NAMES, ...FIELD_NAMES };
  const axes: Readonly<Record<string, string>> = AXIS_NAMES;
  const words = message.replace(PATH_OR_ID, (path) => {
    const id = path.split('.').at(-1)!;
    if (isStageKind(id)) return spokenStage(id);
    return names[id] ?? axes[id]?.toLowerCase() ?? analyteName(id);
  });
  return words.charAt(0).toUpperCase() + words.slice(1);
}
