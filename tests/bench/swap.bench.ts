// How long it takes to try every hop of the table in the place of one, beside one prediction with
// bands as the yardstick. The goal: all single replacements in under a second.
import { bench, describe } from 'vitest';
import { swapSchema } from '#shared/schemas/asked.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { swapping } from '#optimize/questions/swap.ts';
import { HAZY, PALE } from '../optimize/support/schedules.ts';

describe.each([PALE, HAZY])('all single replacements: $name', (schedule) => {
  const swap = swapSchema.parse({ ...schedule, replace: 'Citra', candidates: 'table' });
  const design = designOf(model, schedule);
  if (!design.ok) throw new Error('a schedule that can be predicted');

  bench('every hop of the table tried alone', () => {
    const search = swapping(model, swap);
    for (let step = search.next(); !step.done; step = search.next()) {
      if (step.value.phase !== 'single' || step.value.done === step.value.of) break;
    }
  });

  bench('one prediction with bands', () => {
    predict(model, design.value);
  });
});
