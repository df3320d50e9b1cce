// Doses at the largest that is taken: rounded to twelve digits they stay within it, so that the engine
// takes the blend the search found. Packages and steps too small to count by are refused.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readBrief } from '#shared/reading/read.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { designFor } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { additionsOf } from '#optimize/problem/check.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';

const FREE = { stage_at_most_g_per_l: { dry_hop: DOSE_G_PER_L_MAX } };
const SHAPE = { hops: 2, forms: 1, stages: ['dry_hop'], wishes: 1, beerL: 20 } as const;

describe('a dose at the largest taken', () => {
  it.each([undefined, 0.1, 7.0874])('is taken by the engine in steps of %s g', (step) => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 1e5, noNaN: true }), (beer_l) => {
        const plain = randomBrief(3, { ...SHAPE, ...(step !== undefined && { step }) });
        const batch = { ...plain.batch, beer_l };
        const brief: Brief = { ...plain, batch, limits: { ...plain.limits, ...FREE } };
        const problem = soundProblem(brief);
        const most = problem.columns[0]!.most;
        expect(most).toBeGreaterThan(DOSE_G_PER_L_MAX - (step ?? 0) - 1e-9);
        const { documents } = additionsOf(problem, brief, { columns: [0], doses: [most] });
        expect(designFor(model, brief, documents).ok).toBe(true);
      }),
      { numRuns: 300, seed: 11 },
    );
  });

  it('is no more than is on hand', () => {
    fc.assert(
      fc.property(fc.double({ min: 1, max: 500, noNaN: true }), (grams_on_hand) => {
        const plain = randomBrief(3, SHAPE);
        const [first] = plain.candidates as Candidate[];
        const candidates = [{ ...first!, grams_on_hand }];
        const brief: Brief = { ...plain, candidates, limits: { ...plain.limits, ...FREE } };
        const problem = soundProblem(brief);
        const doses = [problem.columns[0]!.most];
        const [addition] = additionsOf(problem, brief, { columns: [0], doses }).documents;
        expect(addition!.grams).toBeLessThanOrEqual(grams_on_hand);
        expect(addition!.grams).toBeGreaterThan(grams_on_hand * (1 - 1e-10));
      }),
      { numRuns: 300, seed: 12 },
    );
  });
});

describe('figures too small to count by', () => {
  it.each([
    [{ package_g: 1e-320 }, {}, 'candidates[0].package_g'],
    [{ package_g: 0.5 }, {}, 'candidates[0].package_g'],
    [{}, { weigh_step_g: 5e-324 }, 'limits.weigh_step_g'],
    [{}, { weigh_step_g: 0.001 }, 'limits.weigh_step_g'],
  ])('are refused with the least that is taken: %j %j', (lot, limits, path) => {
    const brief = randomBrief(3, SHAPE);
    const [first] = brief.candidates as Candidate[];
    const text = JSON.stringify({
      ...brief,
      candidates: [{ ...first, ...lot }],
      limits: { ...brief.limits, ...limits },
    });
    const read = readBrief(text);
    expect(read.ok ? [] : read.problems.map((p) => p.path)).toEqual([path]);
    if (!read.ok)
      expect(`${read.problems[0]!.message} ${read.problems[0]!.cure}`).toMatch(/1|0\.01/);
  });
});
