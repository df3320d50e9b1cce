// The brew sheet of a schedule, for tests.
import { scheduleSchema } from '#shared/schemas/brief.ts';
import { predict } from '#engine/answer/answer.ts';
import { sheetOf } from '#engine/brewday/sheet.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';

export function sheetFor(document: object, asked: Parameters<typeof sheetOf>[3] = {}) {
  const design = designOf(model, scheduleSchema.parse(document));
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  return sheetOf(model, design.value, predict(model, design.value), asked);
}
