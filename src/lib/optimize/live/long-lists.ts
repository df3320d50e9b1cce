// A long list of lots cut to what a blend that follows a hand needs: of thousands of lots of a few hops most are
// alike, and a blend of free doses, which counts no additions, would take a little of hundreds of them. The exact
// answer that follows looks at all.
import { groups, sort } from 'd3';
import { nameKey } from '#shared/name-key.ts';
import type { Candidate } from '#shared/schemas/brief.ts';

/** Lots up to which a list is taken whole. */
const LOTS_MOST = 400;
/** Lots of one hop in one form that stay of a longer one, at most. A judgement. */
const LOTS_OF_A_KIND = 24;

/** Of a long list the lots with the most on hand of each hop and form; the lots in their order. */
export function fewerLots(candidates: readonly Candidate[]): readonly Candidate[] {
  if (candidates.length <= LOTS_MOST) return candidates;
  const kinds = groups(candidates, ({ hop, form }) => `${nameKey(hop)}|${form}`);
  const most = Math.min(LOTS_OF_A_KIND, Math.max(1, Math.floor(LOTS_MOST / kinds.length)));
  const onHand = ({ grams_on_hand: grams = Infinity }: Candidate) => grams;
  const kept = new Set(
    kinds.flatMap(([, lots]) => sort(lots, (lot) => -onHand(lot)).slice(0, most)),
  );
  return candidates.filter((lot) => kept.has(lot));
}
