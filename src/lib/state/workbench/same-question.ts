// Whether two briefs ask the search for the same, so that the answer to one holds for the other.
import type { Brief } from '#shared/schemas/brief.ts';

/** Whether two briefs ask for the same blend; their names do not matter. */
export function sameQuestion(a: Brief, b: Brief): boolean {
  return JSON.stringify({ ...a, name: '' }) === JSON.stringify({ ...b, name: '' });
}

/** The same, but the briefs may differ in the share of lots in which a blend must meet its wishes. */
export function sameButForLots(a: Brief, b: Brief): boolean {
  const bare = ({ limits: { holds_in_lots_at_least: _, ...limits }, ...brief }: Brief): Brief => {
    return { ...brief, limits };
  };
  return sameQuestion(bare(a), bare(b));
}
