// The verb design: the lightest (cheapest, least leafy) blend for a wish, with its proof.
import type { Blend } from '#shared/answer.ts';
import { cautionsFor } from '#shared/cautions.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readBrief } from '#shared/read.ts';
import type { Brief, Candidate } from '#shared/schemas/brief.ts';
import { designOf } from '#engine/design.ts';
import { model } from '#engine/model.ts';
import { answering } from '#optimize/answering.ts';
import type { DesignOptions } from '#optimize/contract.ts';
import { evidenceOf } from '#optimize/evidence.ts';
import { shownFigures } from './known.ts';
import { stagesUsed, type Answered } from './predict.ts';
import { cautionLines, headLines, page } from './print-prediction.ts';
import { progressText } from './progress.ts';
import { blendLines, otherLines, statusLines, whyLines, type BlendShown } from './print-design.ts';
import { reasonLines } from './print-why.ts';

/** What every searching verb is asked with. */
export interface Request<Options> {
  /** Lots that take the place of the document's candidates. */
  readonly stock?: readonly Candidate[];
  readonly options: Options;
  /** Says on the way how far the search is. */
  readonly tell: (milliseconds: number, text: string) => void;
}

/** A blend with the design it is in a document's batch and stages. */
export function blendShown(
  { name, batch, stages }: Pick<Brief, 'name' | 'batch' | 'stages'>,
  blend: Blend,
): BlendShown {
  const design = designOf(model, { name, batch, stages, additions: [...blend.additions] });
  if (!design.ok) throw new Error(`the blend cannot be predicted: ${design.problems[0]?.message}`);
  return { blend, design: design.value, shown: shownFigures(model, design.value, blend) };
}

/** Designs from the brief in a text. Fails with every problem of the document. */
export function designText(text: string, request: Request<DesignOptions>): Outcome<Answered> {
  const read = readBrief(text);
  if (!read.ok) return read;
  const brief = request.stock ? { ...read.value, candidates: [...request.stock] } : read.value;
  const search = answering(model, brief, request.options);
  let step = search.next();
  for (; !step.done; step = search.next()) {
    request.tell(step.value.milliseconds, progressText(step.value, brief));
  }
  if (!step.value.ok) return step.value;
  const answer = step.value.value;
  const blends = answer.blends.map((blend) => blendShown(brief, blend));
  const [best, ...others] = blends;
  const stages = best ? stagesUsed(best.design) : [];
  return success({
    json: {
      name: brief.name,
      ...answer,
      blends: blends.map(({ blend, shown }) => ({
        ...blend,
        ...shown,
        figures_by_status: evidenceOf(model, blend.additions).statuses,
      })),
      cautions: cautionsFor(stages),
    },
    text: page(
      headLines(brief),
      statusLines(answer, brief),
      ...(best ? blendLines(best, brief) : []),
      otherLines(others),
      ...reasonLines(answer, brief),
      ...whyLines(answer),
      cautionLines(stages),
    ),
  });
}
