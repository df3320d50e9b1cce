// Windows too narrow to weigh for: doses come in whole weighing steps, so that hardly any blend lies
// at exactly 20 IBU, and to prove that none does tells a brewer nothing. A window narrower than the
// figures shown is taken as that wide, around its middle, and it is said so.
import type { Brief, Wish } from '#shared/schemas/brief.ts';
import { AXES } from '#shared/ids.ts';
import { AXIS_NAMES } from '#shared/words.ts';
import { windowOf, type Window } from './windows.ts';

/** Narrowest window of bitterness sought with weighing steps, IBU: the last digit shown. */
export const NARROWEST_IBU = 0.1;
/** Narrowest window of a wish, in intensity: a fifth of the last digit shown. */
export const NARROWEST_INTENSITY = 0.02;

/** A brief as it is searched, and what is said of where it is not to the letter the one given. */
export interface Weighable {
  readonly brief: Brief;
  readonly notes: readonly string[];
}

/** A window that is narrower than `least` as one that wide, not below 0; `null` where it is not. */
function widened({ low, high }: Window, least: number): Window | null {
  if (!(high - low < least)) return null;
  const middle = Math.max((low + high) / 2, least / 2);
  return { low: middle - least / 2, high: middle + least / 2 };
}

/** A brief with each window wide enough to be hit in whole weighing steps. Without steps it stays. */
export function weighable(brief: Brief): Weighable {
  const { limits, target } = brief;
  if (!limits.weigh_step_g) return { brief, notes: [] };
  const notes: string[] = [];
  const note = (what: string, { low, high }: Window, digits: number) => {
    const [from, to] = [low, high].map((figure) => figure.toFixed(digits));
    notes.push(`${what} is too narrow for whole weighing steps: widened to ${from!} to ${to!}`);
  };
  const { ibu_at_least: atLeast = -Infinity, ibu_at_most: atMost = Infinity } = limits;
  const bitter = widened({ low: atLeast, high: atMost }, NARROWEST_IBU);
  if (bitter) note('The window of bitterness', bitter, 2);
  const wishes = { ...target };
  for (const axis of brief.minimise === 'closest' ? [] : AXES) {
    const wish = target[axis];
    const window = wish && widened(windowOf(wish), NARROWEST_INTENSITY);
    if (!window) continue;
    note(`The window of ${AXIS_NAMES[axis].toLowerCase()}`, window, 2);
    const wide: Wish = { at_least: window.low, at_most: window.high };
    wishes[axis] = wide;
  }
  if (notes.length === 0) return { brief, notes };
  const ibu = bitter && { ibu_at_least: bitter.low, ibu_at_most: bitter.high };
  return { brief: { ...brief, target: wishes, limits: { ...limits, ...ibu } }, notes };
}
