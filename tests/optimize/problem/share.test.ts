// No hop above its share of the hop weight: the rows of the problem against a count of grams, what is
// said where it is missed, and what tightening does to the answer.
import { FORMS } from '#shared/ids.ts';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { additionsOf, checking } from '#optimize/problem/check.ts';
import { design } from '#optimize/questions/design.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { meetsLimits } from '#optimize/problem/evaluation.ts';
import { objectiveOf, randomBrief, soundProblem, type Shape } from '../support/instances.ts';

const BAND = { samples: 20, seed: 1 };
const SHAPE: Shape = {
  hops: 4,
  forms: 2,
  stages: STAGE_KINDS,
  wishes: 3,
  beerL: 20,
  room: [0.2, 0.8],
};

function sharing(brief: Brief, share: number, grams: readonly number[] = []): Brief {
  const lots = brief.candidates as Exclude<Brief['candidates'], 'table'>;
  const keep = grams.map((g, i) => {
    const { hop, form, analysis } = lots[(i * 3) % lots.length]!;
    return { hop, form, analysis, grams: g, stage: STAGE_KINDS[i % 3]! };
  });
  return { ...brief, keep, limits: { ...brief.limits, share_at_most: share } };
}

function largestShare(additions: readonly { hop: string; grams: number }[]): number {
  const total = additions.reduce((sum, a) => sum + a.grams, 0);
  const of = (hop: string) => additions.reduce((sum, a) => sum + (a.hop === hop ? a.grams : 0), 0);
  return Math.max(0, ...additions.map((a) => of(a.hop) / total));
}

/** Every stage takes the largest dose there is. */
const ROOMY = Object.fromEntries(STAGE_KINDS.map((stage) => [stage, DOSE_G_PER_L_MAX]));

describe('a cap on the share of each hop', () => {
  it('is refused at once where so many hops cannot make up the whole', () => {
    const brief = randomBrief(1, { ...SHAPE, hops: 12, hopsAtMost: 4 });
    const refused = design(model, sharing(brief, 0.1), { band: BAND });
    expect(refused.ok ? [] : refused.problems).toEqual([
      {
        path: 'limits.share_at_most',
        message: '4 hops of at most 10 % each make up 40 % of the hop weight, never the whole',
        cure: 'Raise limits.share_at_most to 0.25, or limits.hops_at_most to 10',
      },
    ]);
    const few = design(model, sharing(randomBrief(1, SHAPE), 0.2), { band: BAND });
    expect(few.ok ? '' : few.problems[0]!.cure).toBe(
      'Raise limits.share_at_most to 0.25, or offer at least 5 hops',
    );
    // Kept hops make up their part: 4 chosen ones of 20 % beside one kept of 20 % are the whole.
    for (const [share, kept] of [
      [0.25, []],
      [0.2, [10]],
    ] as const) {
      expect(design(model, sharing(brief, share, kept), { band: BAND }).ok).toBe(true);
    }
  });

  it('says of any doses, on top of kept ones, what counting grams says', () => {
    let [met, missed] = [0, 0];
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.double({ min: 0.25, max: 1, noNaN: true }),
        fc.array(fc.double({ min: 0.1, max: 100, noNaN: true }), { maxLength: 3 }),
        fc.array(fc.double({ min: 0.1, max: 8, noNaN: true }), { minLength: 4, maxLength: 4 }),
        (seed, share, kept, doses) => {
          const shared = sharing(randomBrief(seed, SHAPE), share, kept);
          const any = { stage_at_most_g_per_l: ROOMY, forms_per_hop_at_most: FORMS.length };
          const limits = { ...shared.limits, ...any };
          const brief = { ...shared, limits };
          const problem = soundProblem(brief);
          const blend = { columns: [0, 7, 14, 20], doses };
          const largest = largestShare(additionsOf(problem, brief, blend).documents);
          fc.pre(Math.abs(largest - share) > 1e-5);
          expect(meetsLimits(problem, blend)).toBe(largest < share);
          const misses = finished(checking(model, brief, problem, blend, BAND)).blend.misses;
          const miss = misses.find((m) => m.wish === 'limits.share_at_most');
          expect(miss === undefined).toBe(largest < share);
          if (miss) expect(miss.got).toBeCloseTo(largest, 9);
          if (largest < share) met += 1;
          else missed += 1;
        },
      ),
      { numRuns: 80, seed: 7 },
    );
    expect(Math.min(met, missed)).toBeGreaterThan(10);
  });

  it('never makes the answer better by being tightened, and holds in it', () => {
    let dearer = 0;
    for (const seed of [2, 5, 9, 14, 23, 31]) {
      const steps = seed % 2 ? { step: 1, smallest: 5 } : {};
      const plain = randomBrief(seed, { ...SHAPE, ...steps });
      let before = 0;
      for (const share of [1, 0.75, 0.5, 0.4]) {
        const brief = sharing(plain, share);
        const outcome = design(model, brief, { band: BAND });
        if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
        if (outcome.value.status === 'closest') break;
        const [blend] = outcome.value.blends;
        expect(blend!.misses).toEqual([]);
        expect(largestShare(blend!.additions)).toBeLessThanOrEqual(share + 1e-6);
        const value = objectiveOf(brief, blend!);
        const room = Math.max(PROVEN_GAP * value, brief.limits.weigh_step_g ?? 0) + 1e-6;
        expect(value).toBeGreaterThanOrEqual(before - room);
        if (before > 0 && value > before + room) dearer += 1;
        before = value;
      }
    }
    expect(dearer).toBeGreaterThan(2);
  });

  it('is named where the hard limits clash', () => {
    const plain = sharing(randomBrief(3, SHAPE), 0.5, [100]);
    const limits = {
      ...plain.limits,
      stage_at_most_g_per_l: { mash: 8, boil: 0, hot_steep: 0, dry_hop: 0 },
    };
    const outcome = design(model, { ...plain, limits }, { band: BAND });
    expect(outcome.ok).toBe(false);
    if (outcome.ok) return;
    const { message } = outcome.problems[0]!;
    expect(message.split('limits.share_at_most').length).toBe(2);
    expect(message).toContain('limits.stage_at_most_g_per_l.mash');
  });
});
