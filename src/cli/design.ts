// The verb design: the lightest (cheapest, least leafy) blend for a wish, with its proof.
import type { Blend } from '#shared/answer.ts';
import { cautionsFor } from '#shared/cautions.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readBrief } from '#shared/read.ts';
import type { Brief, Candidate } from '#shared/schemas/brief.ts';
import { designOf } from '#engine/design.ts';
import { model } from '#engine/model.ts';
import type { DesignOptions, DesignProgress } from '#optimize/contract.ts';
import { designing } from '#optimize/design.ts';
import { evidenceOf } from '#optimize/evidence.ts';
import { shownFigures } from './known.ts';
import { stagesUsed, type Answered } from './predict.ts';
import { cautionLines, headLines, page } from './print-prediction.ts';
import { blendLines, otherLines, statusLines, whyLines, type BlendShown } from './print-design.ts';

export interface DesignRequest {
  /** Lots that take the place of the brief's candidates. */
  readonly stock?: readonly Candidate[];
  readonly options: DesignOptions;
  readonly onProgress: (progress: DesignProgress, brief: Brief) => void;
}

function blendShown({ name, batch, stages }: Brief, blend: Blend): BlendShown {
  const design = designOf(model, { name, batch, stages, additions: [...blend.additions] });
  if (!design.ok) throw new Error(`the blend cannot be predicted: ${design.problems[0]?.message}`);
  return { blend, design: design.value, shown: shownFigures(model, design.value, blend) };
}

/** Designs from the brief in a text. Fails with every problem of the document. */
export function designText(text: string, request: DesignRequest): Outcome<Answered> {
  const read = readBrief(text);
  if (!read.ok) return read;
  const brief = request.stock ? { ...read.value, candidates: [...request.stock] } : read.value;
  const search = designing(model, brief, request.options);
  let step = search.next();
  for (; !step.done; step = search.next()) request.onProgress(step.value, brief);
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
      ...whyLines(answer),
      cautionLines(stages),
    ),
  });
}
