// What the columns of the hop table and the rankings of varieties are called.
import { analyteName, analyteUnit } from '#engine/tables/names.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { isAxis, type HopGroup, type HopSubject } from '#state/reference/hop-list.ts';

/** What varieties are set side by side in, as it stands in the middle of a sentence. */
export function subjectName(subject: HopSubject): string {
  return isAxis(subject) ? spoken(AXIS_NAMES[subject]) : analyteName(subject);
}

export function subjectUnit(subject: HopSubject): string {
  return isAxis(subject) ? 'intensity' : analyteUnit(subject);
}

export const HOP_GROUP_NAMES: Readonly<Record<HopGroup, string>> = {
  overview: 'What hops are bought for',
  axes: 'Aroma in beer',
  compounds: 'Compounds',
  all: 'All figures',
};
