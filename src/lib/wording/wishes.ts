// A wish or limit in words: its name, its figures in the unit they are typed in, and by how much a blend misses it.
import { isAxisWish, wishSubject } from '#shared/answers/wish-subject.ts';
import type { Miss } from '#shared/answers/answer.ts';
import type { LimitFigure } from '#shared/schemas/brief.ts';
import { spokenStage } from '#shared/stages/kinds.ts';
import type { UnitSystem } from '#shared/units.ts';
import { hopMass, intensity, money, percent, quantity, significant, withUnit } from './format.ts';
import { LIMIT_NAMES, noteInList } from './words.ts';

/** Least difference in intensity that shows in one decimal, and least of another figure in three. */
export const SHOWN_MISS = 0.05;
const LEAST_SHOWN = 0.01;

/** A wish or limit in words, from its path `target.tropical` or `limits.ibu_at_most`. */
export function wishName(wish: string): string {
  const of = wishSubject(wish);
  switch (of?.kind) {
    case 'axis':
      return noteInList(of.axis);
    case 'limit':
      return LIMIT_NAMES[of.limit];
    case 'stage':
      return `the most in the ${spokenStage(of.stage)}`;
    case 'stock':
      return `the stock of ${of.hop}`;
    case 'required':
      return `the required ${of.hop}`;
    case 'forms':
      return 'the forms to use';
    case 'stage_forms':
      return `the forms in the ${spokenStage(of.stage)}`;
    case 'listed':
      return of.list === 'ban' ? 'a banned hop' : 'a required hop';
    case undefined:
      return wish.replace(/^\w+\./, '').replaceAll('_', ' ');
  }
}

/** The first miss, and how many more there are. */
export function missWords(misses: readonly Miss[], units: UnitSystem): string {
  const [first, ...more] = sortedMisses(misses);
  if (!first) return 'found';
  const others =
    more.length > 0 ? ` and ${more.length} ${more.length > 1 ? 'others' : 'other'}` : '';
  return `misses ${wishName(first.wish)} by ${missSize(first, units)}${others}`;
}

/** Axis misses before limit misses, each group from the largest down. */
export function sortedMisses(misses: readonly Miss[]): Miss[] {
  const onAxis = (m: Miss) => (isAxisWish(m.wish) ? 0 : 1);
  return [...misses].sort((a, b) => onAxis(a) - onAxis(b) || b.by - a.by);
}

/** A figure of a wish or limit in the unit it is typed in. */
export function wishFigure(wish: string, figure: number, units: UnitSystem): string {
  const subject = wishSubject(wish);
  switch (subject?.kind) {
    case 'axis':
      return intensity(figure);
    case 'stage':
      return quantity(figure, 'dose', units);
    case 'stock':
      return hopMass(figure, units);
    case 'limit':
      return limitFigure(subject.limit, figure, units);
    case 'forms':
    case 'stage_forms':
      if (figure === 0) return 'none in another form';
      return `${significant(figure)} ${figure === 1 ? 'addition' : 'additions'} in another form`;
    case 'listed':
    case 'required':
    case undefined:
      return significant(figure);
  }
}

function limitFigure(limit: LimitFigure, figure: number, units: UnitSystem): string {
  switch (limit) {
    case 'share_at_most':
    case 'holds_in_lots_at_least':
      return percent(figure);
    case 'leaf_g_per_l_after_mash_at_most':
      return quantity(figure, 'dose', units);
    case 'smallest_addition_g':
    case 'weigh_step_g':
      return hopMass(figure, units);
    case 'cost_at_most':
      return money(figure);
    case 'ibu_at_most':
    case 'ibu_at_least':
      return withUnit(significant(figure), 'IBU');
    case 'hops_at_most':
    case 'forms_per_hop_at_most':
    case 'additions_at_most':
      return significant(figure);
  }
}

/** By how much; a miss is never shown as 0. */
export function missSize({ wish, by }: Miss, units: UnitSystem): string {
  const size = wishFigure(wish, by, units);
  if (/[1-9]/.test(size)) return size;
  return `less than ${isAxisWish(wish) ? SHOWN_MISS : LEAST_SHOWN}`;
}
