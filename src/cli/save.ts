// The verb save: the cheapest and the lightest blend in place of a schedule that nobody should notice.
import type { Saving, SavingGoal } from '#shared/answers/comparison.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readSave } from '#shared/reading/read.ts';
import { modelFor } from '#engine/tables/model.ts';
import { saving, type SavingOptions } from '#optimize/questions/savings.ts';
import { kindsUsed, type Answered } from './predict.ts';
import { changeLines, comparedLines, proofText } from '#cli/print/comparison.ts';
import { amount, whyLines } from '#cli/print/design.ts';
import { cautionLines, headLines, page, purchaseLines } from '#cli/print/prediction.ts';
import { thresholdLines } from '#cli/print/thresholds.ts';
import {
  blendShown,
  comparedDocument,
  searched,
  withStock,
  type SearchRequest,
} from './searching.ts';
import { figure, wrapped } from '#cli/print/table.ts';

/** Loosenings shown in the text; JSON has all. */
const LOOSENINGS_SHOWN = 3;

function heading({ minimised, unchanged, proof }: Saving, i: number): string {
  const word = minimised === 'cost' ? 'cheapest' : 'lightest';
  const what = unchanged ? `The schedule is the ${word} found` : `The ${word}`;
  const unit = minimised === 'cost' ? '' : ' g';
  return `${i + 1}. ${what} (${proofText(proof, unit)})`;
}

function goalLines(goal: SavingGoal | null): string[] {
  if (!goal) return [];
  const { share, reached, saved, loosenings, untried } = goal;
  const [wanted, best] = [share, saved].map((part) => `${figure(part * 100)} %`);
  if (reached) return wrapped(`The goal of ${wanted} is reached: ${best} of the cost saved.`, '');
  const head = `The goal of ${wanted} is not reached: ${best} of the cost at most. `;
  const few = loosenings.slice(0, LOOSENINGS_SHOWN).map(({ path, from, to, cost }) => {
    return `${path} from ${figure(from)} to ${figure(to)} (cost ${figure(cost)})`;
  });
  const one =
    few.length > 0
      ? `Each of these alone would reach it, the nearest first: ${few.join('; ')}.`
      : 'No single wish, bitterness or number of hops loosened was found to reach it.';
  const left = untried > 0 ? ` ${untried} could not be tried fully in the time given.` : '';
  return wrapped(head + one + left, '');
}

/** Answers what can be saved on the schedule in a text. Fails with every problem of the document. */
export function saveText(
  text: string,
  request: SearchRequest<SavingOptions>,
  saveAtLeast?: number,
): Outcome<Answered> {
  const read = readSave(text);
  if (!read.ok) return read;
  const save = {
    ...withStock(read.value, request.stock),
    ...(saveAtLeast !== undefined && { save_at_least: saveAtLeast }),
  };
  const outcome = searched(
    request,
    (options) => saving(request.base, save, options),
    ({ objective, minimise }) =>
      objective === null ? 'no blend yet' : `best ${amount(objective, minimise)}`,
  );
  if (!outcome.ok) return outcome;
  const answer = outcome.value;
  const blends = answer.blends.map((blend) => blendShown(request.base, save, blend));
  const kinds = blends[0] ? kindsUsed(blends[0].design) : [];
  const { cost, hop_g, beer_lost_l } = answer.original.totals;
  const { beer_price_per_l: beer } = answer;
  const held = `${figure(beer_lost_l)} L of beer held back${beer === null ? '' : `, counted at ${figure(beer)} per litre`}`;
  const paid = cost === null ? 'not known' : figure(cost);
  const before = `Before: ${figure(hop_g)} g of hops, cost ${paid}, ${held}.`;
  const kept = `Every aroma kept within a just noticeable difference of ${figure(answer.jnd * 100)} % in concentration.`;
  return success({
    json: comparedDocument(request.base, 'save', save, answer, blends, kinds),
    text: page(
      headLines(save),
      wrapped(`${before} ${kept}`, ''),
      goalLines(answer.goal),
      ...blends.flatMap(({ blend, design }, i) => [
        comparedLines(heading(blend, i), design, blend.totals_change),
        purchaseLines(blend.purchases, save.batch),
      ]),
      changeLines(answer.original, answer.blends),
      ...whyLines(answer),
      thresholdLines(modelFor(request.base, save)),
      cautionLines(kinds),
    ),
  });
}
