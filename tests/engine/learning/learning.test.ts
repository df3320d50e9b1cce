// Learning on invented brewers: a small version of tests/bench/learning.bench.ts that holds direction and
// coverage; and a brewer whose truth no range allows is told so.
import { describe, expect, it } from 'vitest';
import { learnedSchema } from '#shared/schemas/learned.ts';
import { learnedModel } from '#engine/doubt/learned.ts';
import { learn, learning } from '#engine/learning/learn.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { model } from '#engine/tables/model.ts';
import { brewerOf, designBy, hiddenScore, scheduleBy, tasted, truthOf } from './brewers.ts';

const NAMED = { version: 1, made: '2026-01-01T00:00:00Z' };

function lessonOf(seed: number, outside?: ReadonlyMap<string, number>) {
  const brewer = brewerOf(seed, outside);
  const batches = [0, 1, 2, 3, 4, 5].map((i) => tasted(brewer, `b${i}`, scheduleBy(brewer)));
  return { brewer, batches, lesson: learn(model, batches, NAMED) };
}

describe('learning', () => {
  it('goes by parts, more of them for more batches, and comes to the same', () => {
    const brewer = brewerOf(3);
    const batches = [0, 1, 2, 3].map((i) => tasted(brewer, `b${i}`, scheduleBy(brewer)));
    const partsOf = (count: number) => {
      const work = learning(model, batches.slice(0, count), NAMED);
      let step = work.next();
      let parts = 1;
      for (; !step.done; step = work.next()) parts += 1;
      return { parts, lesson: step.value };
    };
    const [one, four] = [partsOf(1), partsOf(4)];
    expect(one.parts).toBeGreaterThan(100);
    expect(four.parts).toBeGreaterThan(one.parts);
    expect(four.lesson).toEqual(learn(model, batches, NAMED));
  });

  it('brings new beers of ten brewers closer to their hidden truth, and its intervals hold', () => {
    let [before, after, inside, all] = [0, 0, 0, 0];
    for (let seed = 1; seed <= 10; seed += 1) {
      const { brewer, lesson } = lessonOf(seed);
      const learned = learnedModel(model, lesson.learned);
      for (let i = 0; i < 5; i += 1) {
        const schedule = scheduleBy(brewer);
        const truth = truthOf(brewer, designBy(model, schedule));
        const off = (of: typeof model) =>
          predictPoint(of, designBy(of, schedule)).intensities.reduce(
            (sum, value, a) => sum + Math.abs(value - truth[a]!),
            0,
          );
        before += off(model);
        after += off(learned);
      }
      for (const [id, { score, joint }] of Object.entries(lesson.learned.parameters)) {
        if (score === undefined) continue;
        const sd = Math.sqrt(1 - joint!.reduce((sum, part) => sum + part * part, 0));
        const hidden = hiddenScore(id, brewer.shared.get(id)!);
        all += 1;
        if (Math.abs(hidden - score) <= 1.2816 * sd) inside += 1;
      }
    }
    expect(after / before).toBeLessThan(0.97);
    expect(inside / all).toBeGreaterThan(0.74);
    expect(inside / all).toBeLessThan(0.86);
  }, 60_000);

  it('gives a value that its schema takes, and the same one every time', () => {
    const { batches, lesson } = lessonOf(3);
    expect(learnedSchema.safeParse(lesson.learned).success).toBe(true);
    expect(learn(model, batches, NAMED)).toEqual(lesson);
    expect(lesson.learned.from).toEqual(batches.map(({ id }) => id));
  });

  it('tells which evidence would teach most, the strongest first', () => {
    const { lesson } = lessonOf(2);
    expect(lesson.next.length).toBeGreaterThan(0);
    const shares = lesson.next.map(({ share }) => share);
    expect(shares).toEqual([...shares].sort((a, b) => b - a));
    for (const { share, from, to } of lesson.next) {
      expect(share).toBeGreaterThan(0);
      expect(share).toBeLessThan(1);
      expect(to).toBeLessThan(from);
    }
  });

  it('says where evidence and model disagree when the truth lies far outside the ranges', () => {
    const { lesson } = lessonOf(2, new Map([['parameter/aroma.gain.tropical', 12]]));
    expect(lesson.disagreements[0]).toMatchObject({ at: { axis: 'tropical' }, side: 'above' });
    let alarms = 0;
    for (const seed of [1, 2, 3, 4, 5, 6]) alarms += lessonOf(seed).lesson.disagreements.length;
    expect(alarms).toBeLessThanOrEqual(1);
  });

  it('says that the fit stopped where a far-off lab figure lets no step lower the cost', () => {
    const { batches, lesson } = lessonOf(2);
    expect(lesson.settled).toBe(true);
    const [first, ...rest] = batches;
    // No lot holds so much: 50 mg/L is some hundred times what the beer has.
    const lab = [{ of: 'linalool' as const, value: 50_000, precision: 0.05 }];
    const far = learn(model, [{ ...first!, lab }, ...rest], NAMED);
    expect(far.settled).toBe(false);
    expect(far.disagreements[0]).toMatchObject({ at: { lab: 'linalool' }, side: 'above' });
  });

  it('knows a taster by bias', () => {
    const { brewer, lesson } = lessonOf(2);
    brewer.biases.forEach((bias, t) => {
      const { bias: found, bias_sd: sd } = lesson.learned.tasters[`T${t}`]!;
      expect(Math.abs(found - bias)).toBeLessThan(3 * sd);
    });
  });
});
