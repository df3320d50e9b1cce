// When two briefs ask the same of the search, so that what was found for one answers the other.
import type { Brief } from '#shared/schemas/brief.ts';

/** Whether two briefs ask for the same blend; a name asks for nothing. */
export function sameQuestion(a: Brief, b: Brief): boolean {
  return JSON.stringify({ ...a, name: '' }) === JSON.stringify({ ...b, name: '' });
}

/** The same for two briefs that may differ in the share of lots in which a blend is to hold. */
export function sameButForLots(a: Brief, b: Brief): boolean {
  const bare = ({ limits: { holds_in_lots_at_least: _, ...limits }, ...brief }: Brief): Brief => {
    return { ...brief, limits };
  };
  return sameQuestion(bare(a), bare(b));
}
