// A long list of lots cut to what a blend that follows a hand needs: of thousands of lots of a few hops most are
// alike, and a blend of free doses, which counts no additions, would take a little of hundreds of them. The exact
// answer that follows looks at all.
import { groups, sort } from 'd3';
import { nameKey } from '#shared/name-key.ts';
import type { Candidate } from '#shared/schemas/lot.ts';

/** Lots up to which a list is taken whole: the whole table of hops is. */
const WHOLE_UP_TO = 400;
/** Lots that stay of a longer one, but one of each kind. 400 that are all but alike took half a second a step. */
const LOTS_KEPT = 150;
/** Of these of one hop in one form, at most. A judgement. */
const LOTS_OF_A_KIND = 24;

/** Of a long list the lots with the most on hand of each hop and form; the lots in their order. */
export function fewerLots(candidates: readonly Candidate[]): readonly Candidate[] {
  if (candidates.length <= WHOLE_UP_TO) return candidates;
  const kinds = groups(candidates, ({ hop, form }) => `${nameKey(hop)}|${form}`);
  const most = Math.min(LOTS_OF_A_KIND, Math.max(1, Math.floor(LOTS_KEPT / kinds.length)));
  const onHand = ({ grams_on_hand: grams = Infinity }: Candidate) => grams;
  const kept = new Set(
    kinds.flatMap(([, lots]) => sort(lots, (lot) => -onHand(lot)).slice(0, most)),
  );
  return candidates.filter((lot) => kept.has(lot));
}
