// The verb design: the lightest (cheapest, least leafy) blend for a wish, with its proof.
import { cautionsFor } from '#shared/answers/cautions.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { modelFor } from '#engine/tables/model.ts';
import type { DesignOptions } from '#optimize/questions/options.ts';
import { kindsUsed, type Answered } from './predict.ts';
import { cautionLines, headLines, page } from '#cli/print/prediction.ts';
import { designed } from './designing.ts';
import { blendLines, otherLines, statusLines, whyLines } from '#cli/print/design.ts';
import { reasonLines } from '#cli/print/why.ts';
import { warningLines } from '#cli/print/outlook.ts';
import { thresholdLines, thresholdsShown } from '#cli/print/thresholds.ts';
import { withCells } from './cells.ts';
import { blendDocument, blendShown, placed, type SearchRequest } from './searching.ts';

/** Designs from the brief in a text. Fails with every problem of the document. */
export function designText(text: string, request: SearchRequest<DesignOptions>): Outcome<Answered> {
  const outcome = designed(text, request);
  if (!outcome.ok) return outcome;
  const { brief, answer } = outcome.value;
  const blends = answer.blends.map((blend) => blendShown(request.base, brief, blend));
  const its = modelFor(request.base, brief);
  const [best, ...others] = blends;
  const isBest = ({ blend: { additions } }: (typeof blends)[number]) =>
    JSON.stringify(additions) === JSON.stringify(best!.blend.additions);
  const kinds = best ? kindsUsed(best.design) : [];
  return success({
    json: withCells(
      'design',
      its,
      {
        name: brief.name,
        ...answer,
        blends: blends.map((blend) => blendDocument(request.base, blend)),
        thresholds: thresholdsShown(its),
        cautions: cautionsFor(kinds),
      },
      placed(blends),
    ),
    text: page(
      headLines(brief),
      statusLines(answer, brief),
      ...(best ? blendLines(best, brief) : []),
      // The blend for an average lot may be the one that holds in many.
      otherLines(others.filter((other) => !isBest(other))),
      ...reasonLines(answer, brief),
      ...whyLines(answer),
      thresholdLines(its),
      best ? warningLines(best.blend) : [],
      cautionLines(kinds),
    ),
  });
}
