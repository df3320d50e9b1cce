// The full prediction a few milliseconds at a time: how often it rests, and that whatever else is predicted
// between two rests changes nothing in it.
import { expect, it } from 'vitest';
import { predict, predicting } from '#engine/answer/answer.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';

/** A dry hop of many lots, so many grams of each. */
function ofLots(count: number, grams: number): Design {
  const design = designOf(model, {
    name: '',
    batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 210 },
    stages: { dry_hop: { temp_c: 14, hours: 72, mixed: false, live_yeast: false } },
    additions: model.hops
      .filter((hop) => hop.missing.length === 0)
      .slice(0, count)
      .map(({ name, forms }) => ({ hop: name, form: forms[0]!, stage: 'dry_hop', grams })),
  });
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  return design.value;
}

function restsOf(design: Design): number {
  let rests = 0;
  for (const work = predicting(model, design); !work.next().done;) rests += 1;
  return rests;
}

it('rests after each lot it draws, and between draws, program and the time on the shelf', () => {
  const few = restsOf(ofLots(2, 10));
  expect(few).toBeGreaterThanOrEqual(2 + 3);
  expect(restsOf(ofLots(12, 10))).toBe(few + 10);
});

it('is the same whatever is predicted of the same lots while it rests', () => {
  const [one, other] = [ofLots(4, 15), ofLots(4, 40)];
  const [alone, beside] = [predict(model, one), predict(model, other)];
  expect(alone.axes).not.toEqual(beside.axes);
  const work = predicting(model, one);
  let step = work.next();
  for (; !step.done; step = work.next()) expect(predict(model, other)).toEqual(beside);
  expect(step.value).toEqual(alone);
});
