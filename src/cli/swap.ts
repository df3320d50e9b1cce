// The verb swap: a schedule without one of its hops, as close as another hop, or two, can bring it.
import type { Replacement, SwapAnswer } from '#shared/answers/comparison.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Swap } from '#shared/schemas/asked.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { spokenStage } from '#shared/stages/kinds.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readSwap } from '#shared/reading/read.ts';
import { modelFor } from '#engine/tables/model.ts';
import { swapping, type SwapOptions, type SwapProgress } from '#optimize/questions/swap.ts';
import { kindsUsed, type Answered } from './predict.ts';
import { changeLines, comparedLines, proofText } from '#cli/print/comparison.ts';
import { whyLines } from '#cli/print/design.ts';
import { cautionLines, headLines, page } from '#cli/print/prediction.ts';
import { thresholdLines } from '#cli/print/thresholds.ts';
import {
  blendShown,
  comparedDocument,
  searched,
  withStock,
  type SearchRequest,
} from './searching.ts';
import { figure, wrapped } from '#cli/print/table.ts';

function heading(
  { hops, difference, unnoticed, proof, stages_added: elsewhere, ...blend }: Replacement,
  i: number,
  { original }: SwapAnswer,
): string {
  const parts = [
    unnoticed ? 'no noticeable change' : `largest change ${figure(difference)}`,
    blend.bitterness_kept
      ? ''
      : `bitterness ${figure(original.totals.ibu)} to ${figure(blend.totals.ibu)} IBU`,
    elsewhere.length > 0 ? `at another stage: ${elsewhere.map(spokenStage).join(', ')}` : '',
  ].filter(Boolean);
  // What nobody can tell need come no closer.
  const proven = unnoticed && proof.status !== 'optimal' ? '' : ` (${proofText(proof, '')})`;
  return `${i + 1}. ${hops.join(' and ')}: ${parts.join('; ')}${proven}`;
}

/** Which hops keep the cost from being known, and where their prices are given. */
function unpricedLines({ additions }: Replacement): string[] {
  const without = additions.filter((a) => a.grams > 0 && a.price_per_kg === undefined);
  const hops = [...new Set(without.map(({ hop }) => hop))];
  if (hops.length === 0) return [];
  const cure = 'give price_per_kg in the schedule, the candidates or the stock list';
  return wrapped(`Cost not known, no price for ${hops.join(', ')}: ${cure}.`, '');
}

function triedLines({ tried }: SwapAnswer): string[] {
  if (tried.length === 0) return [];
  const list = tried.map((t) => `${t.hop} ${figure(t.at_most)}`).join(', ');
  return wrapped(`Every hop tried alone, by its least largest change: ${list}.`, '');
}

function phaseText({ phase, done, of }: SwapProgress): string {
  const doing = { single: 'hops tried', split: 'pairs of hops tried', dosing: 'blends dosed' };
  return `${done} of ${of} ${doing[phase]}`;
}

/** The hop that is gone is never its own replacement, though a list still has lots of it. */
function withoutReplaced(swap: Swap): Swap {
  const { candidates, replace, limits } = swap;
  const isGone = ({ hop }: Candidate) => nameKey(hop) === nameKey(replace);
  if (candidates === 'table' || !candidates.some(isGone)) return swap;
  return { ...swap, limits: { ...limits, ban: [...limits.ban, replace] } };
}

/** Answers a swap in a text. Fails with every problem of the document. */
export function swapText(text: string, request: SearchRequest<SwapOptions>): Outcome<Answered> {
  const read = readSwap(text);
  if (!read.ok) return read;
  const swap = withoutReplaced(withStock(read.value, request.stock));
  const outcome = searched(request, (options) => swapping(request.base, swap, options), phaseText);
  if (!outcome.ok) return outcome;
  const answer = outcome.value;
  const blends = answer.blends.map((blend) => blendShown(request.base, swap, blend));
  const kinds = blends[0] ? kindsUsed(blends[0].design) : [];
  return success({
    json: comparedDocument(request.base, 'swap', swap, answer, blends, kinds),
    text: page(
      headLines(swap),
      wrapped(`${swap.replace} replaced, everything else kept to the gram.`, ''),
      ...blends.map(({ blend, design }, i) => [
        ...comparedLines(heading(blend, i, answer), design, blend.totals_change),
        ...unpricedLines(blend),
      ]),
      blends.length > 0 ? changeLines(answer.original, answer.blends) : [],
      triedLines(answer),
      ...whyLines(answer),
      thresholdLines(modelFor(request.base, swap)),
      cautionLines(kinds),
    ),
  });
}
