// Forty single replacements, hop by hop, in the blends of the seed briefs and the seed schedules: what a
// replacement may touch, on how many lines and in how many forms, where it may stand, and what it says
// of itself.
import { describe, expect, it } from 'vitest';
import { swapSchema, type Swap } from '#shared/schemas/asked.ts';
import { scheduleSchema } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Replacement, SwapAnswer } from '#shared/answers/comparison.ts';
import cheaper from '#seeds/schedules/cheaper.json' with { type: 'json' };
import outOfStock from '#seeds/schedules/out-of-stock.json' with { type: 'json' };
import { SEED_BRIEFS } from '#seeds/index.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { AXES } from '#shared/ids.ts';
import { defaultValues, model } from '#engine/tables/model.ts';
import { ibuWindow, keepsBitterness } from '#optimize/problem/ibu-window.ts';
import { axisChanges, noticeableStep, profileOf } from '#optimize/problem/profile.ts';
import { swapping, type SwapProgress } from '#optimize/questions/swap.ts';
import { keptAnswer } from '../../golden/answers.ts';

const REPLACEMENTS = 40;
/** Hops on offer in each, in all of their forms. */
const OFFERED = 5;

const SCHEDULES = [
  ...SEED_BRIEFS.map(({ id, brief: { name, batch, stages } }) => {
    const { blend } = keptAnswer(id) as { blend: { additions: Addition[] } };
    return scheduleSchema.parse({ name, batch, stages, additions: blend.additions });
  }),
  ...[cheaper, outOfStock].map(({ name, batch, stages, additions }) =>
    scheduleSchema.parse({ name, batch, stages, additions }),
  ),
];

/** Every hop of every schedule in turn, each time with other hops on offer. */
function drawnSwaps(): Swap[] {
  const random = randomFrom(0.4321);
  const hops = model.hops.filter(({ missing }) => missing.length === 0);
  const asked = SCHEDULES.flatMap((schedule) =>
    [...new Set(schedule.additions.map((a) => a.hop))].map((replace) => ({ schedule, replace })),
  );
  return Array.from({ length: REPLACEMENTS }, (_, i) => {
    const { schedule, replace } = asked[i % asked.length]!;
    const others = hops.filter(({ name }) => name !== replace);
    const candidates = Array.from({ length: OFFERED }, () => {
      const { name, forms } = others[Math.floor(random.uniform() * others.length)]!;
      return forms.map((form) => ({ hop: name, form }));
    }).flat();
    const limits = { weigh_step_g: 1, smallest_addition_g: 5, hops_at_most: 1 };
    return swapSchema.parse({ ...schedule, replace, candidates, limits });
  });
}

interface Answered {
  readonly swap: Swap;
  readonly answer: SwapAnswer;
  readonly reports: readonly SwapProgress[];
}

function answered(swap: Swap): Answered {
  const search = swapping(model, swap, { band: { samples: 10, seed: 1 }, timeLimitMs: 600_000 });
  const reports: SwapProgress[] = [];
  for (;;) {
    const step = search.next();
    if (!step.done) reports.push(step.value);
    else if (step.value.ok) return { swap, answer: step.value.value, reports };
    else throw new Error(JSON.stringify(step.value.problems));
  }
}

const ANSWERED = drawnSwaps().map(answered);
const BLENDS = ANSWERED.flatMap(({ swap, answer }) =>
  answer.blends.map((blend) => ({ swap, answer, blend })),
);
const sorted = (additions: readonly Addition[]) => additions.map((a) => JSON.stringify(a)).sort();
const atOldStages = ({ blends }: SwapAnswer) => blends.filter((b) => b.stages_added.length === 0);

function unnoticedStep(swap: Swap): number {
  const profile = profileOf(model, swap);
  if (!profile.ok) throw new Error('a schedule of the seeds');
  return noticeableStep(model, profile.value);
}

describe('forty single replacements', () => {
  it('are nearly all answered with several hops', () => {
    const many = ANSWERED.filter(({ answer }) => answer.blends.length >= 3);
    expect(many.length).toBeGreaterThanOrEqual(35);
  });

  it('leave every other line as it was, to the gram', () => {
    for (const { swap, answer, blend } of BLENDS) {
      const kept = swap.additions.filter((a) => !answer.replaced.includes(a));
      expect(answer.replaced.every((a) => a.hop === swap.replace)).toBe(true);
      expect(sorted(blend.additions)).toEqual(sorted([...kept, ...blend.added]));
    }
  });

  it('take one or two new lines of one hop in one form, and tell a hop once', () => {
    for (const { blend } of BLENDS) {
      expect([1, 2]).toContain(blend.added.length);
      expect(new Set(blend.added.map((a) => `${a.hop} ${a.form}`)).size).toBe(1);
      expect(blend.hops).toEqual([blend.added[0]!.hop]);
    }
    for (const { answer } of ANSWERED) {
      const hops = atOldStages(answer).map((b) => b.hops[0]);
      expect(new Set(hops).size).toBe(hops.length);
    }
  });

  it('keep the stages of the old hop, or say so, and only where nothing else came near', () => {
    for (const { swap, answer, blend } of BLENDS) {
      const old = new Set(answer.replaced.map((a) => a.stage));
      const other = new Set(blend.added.map((a) => a.stage).filter((stage) => !old.has(stage)));
      expect(blend.stages_added).toEqual([...other]);
      if (other.size === 0) continue;
      const step = unnoticedStep(swap);
      for (const near of atOldStages(answer)) {
        expect(near.unnoticed).toBe(false);
        expect(near.difference).toBeGreaterThan(step);
      }
    }
    expect(BLENDS.some(({ blend }) => blend.stages_added.length > 0)).toBe(true);
  });

  it('keep the bitterness within 10 % or 2 IBU, or are flagged', () => {
    const flagged = (blend: Replacement, answer: SwapAnswer) => {
      const { atLeast, atMost } = ibuWindow(answer.original);
      const { ibu } = blend.totals;
      return ibu < atLeast - 1e-6 || ibu > atMost + 1e-6;
    };
    for (const { answer, blend } of BLENDS) {
      expect(blend.bitterness_kept).toBe(!flagged(blend, answer));
    }
    expect(new Set(BLENDS.map(({ blend }) => blend.bitterness_kept)).size).toBe(2);
  });

  it('weigh more than the old hop only for what somebody can tell', () => {
    const jnd = defaultValues(model)['aroma.jnd'];
    const grams = (all: readonly Addition[]) => all.reduce((sum, a) => sum + a.grams, 0);
    let heavier = 0;
    for (const { swap, answer, blend } of BLENDS) {
      const { added, unnoticed, bitterness_kept } = blend;
      if (!unnoticed || !bitterness_kept || grams(added) <= grams(answer.replaced)) continue;
      const before = profileOf(model, swap);
      if (!before.ok) throw new Error('a schedule of the seeds');
      heavier += 1;
      for (const line of added.filter((a) => a.grams > 5)) {
        const additions = blend.additions.map((a) =>
          a === line || (a.hop === line.hop && a.stage === line.stage && a.grams === line.grams)
            ? { ...a, grams: a.grams - 1 }
            : a,
        );
        const less = profileOf(model, { ...swap, additions });
        if (!less.ok) throw new Error('a blend of its own');
        const axes = Object.fromEntries(
          AXES.map((axis) => [axis, { intensity: less.value.intensities[axis] }]),
        ) as unknown as Replacement['axes'];
        const changes = axisChanges(model, before.value, { axes }, jnd);
        const kept = keepsBitterness(before.value, less.value.totals);
        expect(kept && AXES.every((axis) => !changes[axis].noticeable)).toBe(false);
      }
    }
    expect(heavier).toBeGreaterThan(0);
  });

  it('begin with what nobody can tell from the beer before, where there is such a hop', () => {
    for (const { answer } of ANSWERED) {
      const noticed = answer.blends.findIndex((b) => !b.unnoticed);
      if (noticed < 0) continue;
      expect(answer.blends.slice(noticed).every((b) => !b.unnoticed)).toBe(true);
    }
  });

  it('never report more done than there is to do', () => {
    for (const { reports } of ANSWERED) {
      expect(reports.length).toBeGreaterThan(0);
      for (const { done, of } of reports) expect(done).toBeLessThanOrEqual(of);
    }
  });
});
