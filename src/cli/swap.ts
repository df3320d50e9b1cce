// The verb swap: a schedule without one of its hops, as close as another hop, or two, can bring it.
import type { Replacement, SwapAnswer } from '#shared/answers/comparison.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readSwap } from '#shared/reading/read.ts';
import { model, modelFor } from '#engine/tables/model.ts';
import { swapping, type SwapOptions, type SwapProgress } from '#optimize/questions/swap.ts';
import { kindsUsed, type Answered } from './predict.ts';
import { changeLines, comparedLines, proofText } from './print-comparison.ts';
import { whyLines } from './print-design.ts';
import { cautionLines, headLines, page } from './print-prediction.ts';
import { thresholdLines } from './print-thresholds.ts';
import { blendShown, comparedDocument, ended, withStock, type SearchRequest } from './searching.ts';
import { figure, wrapped } from './table.ts';

function heading({ hops, difference, unnoticed, proof }: Replacement, i: number): string {
  const told = unnoticed ? 'no noticeable change' : `largest change ${figure(difference)}`;
  return `${i + 1}. ${hops.join(' and ')}: ${told} (${proofText(proof, '')})`;
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

/** Answers a swap in a text. Fails with every problem of the document. */
export function swapText(text: string, request: SearchRequest<SwapOptions>): Outcome<Answered> {
  const read = readSwap(text);
  if (!read.ok) return read;
  const swap = withStock(read.value, request.stock);
  const outcome = ended(swapping(model, swap, request.options), (progress) => {
    request.tell(progress.milliseconds, phaseText(progress));
  });
  if (!outcome.ok) return outcome;
  const answer = outcome.value;
  const blends = answer.blends.map((blend) => blendShown(swap, blend));
  const kinds = blends[0] ? kindsUsed(blends[0].design) : [];
  return success({
    json: comparedDocument('swap', swap, answer, blends, kinds),
    text: page(
      headLines(swap),
      wrapped(`${swap.replace} replaced, everything else kept to the gram.`, ''),
      ...blends.map(({ blend, design }, i) =>
        comparedLines(heading(blend, i), design, blend.totals_change),
      ),
      blends.length > 0 ? changeLines(answer.original, answer.blends) : [],
      triedLines(answer),
      ...whyLines(answer),
      thresholdLines(modelFor(model, swap)),
      cautionLines(kinds),
    ),
  });
}
