// The verb predict: what a hop schedule gives.
import { cautionsFor } from '#shared/answers/cautions.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { StageKind } from '#shared/stages/kinds.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { readSchedule } from '#shared/reading/read.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { doubtOf } from '#engine/doubt/tornado.ts';
import { evidenceOf } from '#engine/evidence/evidence.ts';
import { axisEvidence } from '#engine/evidence/axis-evidence.ts';
import { doubtLines, restingLines } from '#cli/print/doubt.ts';
import { withCells } from './cells.ts';
import { shownFigures } from '#cli/print/known.ts';
import { creepLines, shelfLines, warningLines } from '#cli/print/outlook.ts';
import { thresholdLines, thresholdsShown } from '#cli/print/thresholds.ts';
import {
  axisLines,
  cautionLines,
  compoundLines,
  headLines,
  page,
  purchaseLines,
  scheduleLines,
  totalLines,
  unknownLines,
} from '#cli/print/prediction.ts';

/** An answer, ready to be printed either way. */
export interface Answered {
  readonly json: unknown;
  readonly text: string;
}

/** Kinds of the stages that take hops, in the order of the process. */
export function kindsUsed({
  stages,
  additions,
}: Pick<Design, 'stages' | 'additions'>): StageKind[] {
  const used = new Set(additions.flatMap((a) => (a.grams > 0 ? [a.stage] : [])));
  return [...new Set(stagesOf(stages).flatMap(({ key, kind }) => (used.has(key) ? [kind] : [])))];
}

/** Predicts the schedule in a text. Fails with every problem of the document. */
export function predictText(text: string, base: Model, withDoubt = false): Outcome<Answered> {
  const schedule = readSchedule(text);
  if (!schedule.ok) return schedule;
  const model = modelFor(base, schedule.value);
  const design = designOf(model, schedule.value);
  if (!design.ok) return design;
  const prediction = predict(model, design.value);
  const shown = shownFigures(model, design.value, prediction);
  const { statuses } = evidenceOf(model, schedule.value.additions);
  const resting = axisEvidence(model, design.value);
  const doubt = withDoubt ? doubtOf(model, design.value) : null;
  const kinds = kindsUsed(design.value);
  const answer = {
    ...prediction,
    ...shown,
    rests_on: resting,
    ...(doubt && { doubt }),
    thresholds: thresholdsShown(model),
    figures_by_status: statuses,
    cautions: cautionsFor(kinds),
  };
  return success({
    json: withCells('predict', model, answer, [
      { at: '', design: design.value, warnings: prediction.warnings },
    ]),
    text: page(
      headLines(design.value),
      scheduleLines(design.value),
      totalLines(shown),
      purchaseLines(prediction.purchases, design.value.batch),
      axisLines(shown),
      compoundLines(model, design.value, shown),
      restingLines(resting),
      ...(doubt ? [doubtLines(model, doubt)] : []),
      thresholdLines(model),
      unknownLines(design.value),
      warningLines(prediction),
      creepLines(prediction),
      shelfLines(prediction),
      cautionLines(kinds),
    ),
  });
}
