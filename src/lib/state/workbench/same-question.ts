// What of a brief a question rests on, and so whether the answer to one brief holds for another.
import type { Brief } from '#shared/schemas/brief.ts';

/** What of a brief its blend rests on, as a text: all but its name. */
export function blendRestsOn(brief: Brief): string {
  return JSON.stringify({ ...brief, name: '' });
}

/** What of a brief the attainable range of its axes rests on: neither wishes nor what is minimised. */
export function reachRestsOn(brief: Brief): string {
  const { name: _name, target: _target, minimise: _minimise, ...rest } = brief;
  return JSON.stringify(rest);
}

/** Whether two briefs ask for the same blend. */
export function sameQuestion(a: Brief, b: Brief): boolean {
  return blendRestsOn(a) === blendRestsOn(b);
}

/** The same, but the briefs may differ in the share of lots in which a blend must meet its wishes. */
export function sameButForLots(a: Brief, b: Brief): boolean {
  const bare = ({ limits: { holds_in_lots_at_least: _, ...limits }, ...brief }: Brief): Brief => {
    return { ...brief, limits };
  };
  return sameQuestion(bare(a), bare(b));
}
