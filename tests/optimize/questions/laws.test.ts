// Laws every answer keeps, whatever the brief: what is shown is what the engine predicts, more choice
// or looser wishes never cost more, and a brief twice as large has an answer twice as large.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { design } from '#optimize/questions/design.ts';
import { windowOf } from '#optimize/problem/windows.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { objectiveOf, randomBrief, type Shape } from '../support/instances.ts';

const BAND = { samples: 20, seed: 1 };

const shapes: fc.Arbitrary<Shape> = fc.record({
  hops: fc.integer({ min: 2, max: 8 }),
  forms: fc.integer({ min: 1, max: 3 }),
  stages: fc.subarray(['mash', 'hot_steep', 'dry_hop'] as const, { minLength: 1 }),
  wishes: fc.integer({ min: 1, max: 5 }),
  beerL: fc.constantFrom(5, 20, 40, 1000),
  ibu: fc.boolean(),
  stock: fc.boolean(),
  minimise: fc.constantFrom('weight', 'cost', 'leaf'),
});
const cases = fc.tuple(fc.integer({ min: 1, max: 100_000 }), shapes, fc.boolean(), fc.boolean());

function briefOf([seed, shape, stepped, few]: [number, Shape, boolean, boolean]): Brief {
  const { beerL } = shape;
  return randomBrief(seed, {
    ...shape,
    ...(stepped ? { step: beerL / 20, smallest: beerL / 4 } : {}),
    ...(few ? { hopsAtMost: 2 } : {}),
  });
}

function answered(brief: Brief): DesignAnswer {
  const outcome = design(model, brief, { band: BAND });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

function objective(brief: Brief, answer: DesignAnswer): number {
  return objectiveOf(brief, answer.blends[0]!);
}

/** What a proven answer may still be above the truth. */
function room(brief: Brief, value: number): number {
  const step = brief.limits.weigh_step_g ?? 0;
  const prices = (brief.candidates as Candidate[]).map((c) => c.price_per_kg ?? 0);
  const dearest = { weight: 1, cost: Math.max(...prices) / 1000, leaf: 1, closest: 0 }[
    brief.minimise
  ];
  return Math.max(2 * PROVEN_GAP * value, step * dearest) + 1e-6;
}

/** Whether the second answer is at least as good as the first, up to what is proven. */
function noWorse(brief: Brief, before: DesignAnswer, after: DesignAnswer): void {
  if (before.status === 'closest') {
    if (after.status !== 'closest') return;
    // The worst miss counts 5 IBU as one intensity.
    const { worst_miss, misses } = before.blends[0]!;
    const ibu = misses.filter((m) => m.wish.startsWith('limits.ibu')).map((m) => m.by / 5);
    expect(after.lower_bound).toBeLessThanOrEqual(Math.max(worst_miss, ...ibu) + 1e-5);
    return;
  }
  expect(after.status).not.toBe('closest');
  const was = objective(brief, before);
  expect(objective(brief, after)).toBeLessThanOrEqual(was + room(brief, was));
  expect(after.lower_bound).toBeLessThanOrEqual(was * (1 + 1e-6) + 1e-6);
}

describe('laws of an answer', () => {
  it('is inside its wishes when predicted anew from its own documents, or says closest', () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const brief = briefOf(drawn);
        const answer = answered(brief);
        const [blend] = answer.blends;
        const { name, batch, stages } = brief;
        const again = designOf(model, { name, batch, stages, additions: [...blend!.additions] });
        if (!again.ok) throw new Error(JSON.stringify(again.problems));
        const prediction = predict(model, again.value, BAND);
        expect(prediction.totals).toEqual(blend!.totals);
        expect(prediction.axes).toEqual(blend!.axes);
        const hops = new Set(blend!.additions.map((a) => a.hop));
        expect(hops.size).toBeLessThanOrEqual(brief.limits.hops_at_most ?? Infinity);
        for (const { grams } of blend!.additions) {
          expect(grams).toBeGreaterThanOrEqual(
            (brief.limits.smallest_addition_g ?? 0) * (1 - 1e-6),
          );
          const step = brief.limits.weigh_step_g;
          if (step) expect(Math.abs(grams / step - Math.round(grams / step))).toBeLessThan(1e-6);
        }
        for (const lot of brief.candidates as Candidate[]) {
          const used = blend!.additions
            .filter((a) => a.hop === lot.hop && a.form === lot.form)
            .reduce((sum, a) => sum + a.grams, 0);
          expect(used).toBeLessThanOrEqual((lot.grams_on_hand ?? Infinity) * (1 + 1e-6));
        }
        if (answer.status === 'closest') {
          expect(blend!.misses.length).toBeGreaterThan(0);
          return;
        }
        expect(blend!.misses).toEqual([]);
        for (const axis of AXES) {
          const wish = brief.target[axis];
          if (!wish) continue;
          const { low, high } = windowOf(wish);
          expect(prediction.axes[axis].intensity).toBeGreaterThanOrEqual(low - 1e-5);
          expect(prediction.axes[axis].intensity).toBeLessThanOrEqual(high + 1e-5);
        }
        expect(answer.lower_bound).toBeLessThanOrEqual(
          objective(brief, answer) * (1 + 1e-9) + 1e-9,
        );
      }),
      { numRuns: 60 },
    );
  });

  it('is never worse with one candidate more', () => {
    fc.assert(
      fc.property(cases, (drawn) => {
        const brief = briefOf(drawn);
        const lots = brief.candidates as Candidate[];
        const fewer = { ...brief, candidates: lots.slice(0, -1) };
        noWorse(brief, answered(fewer), answered(brief));
      }),
      { numRuns: 40 },
    );
  });

  it('is never worse with a looser wish', () => {
    fc.assert(
      fc.property(cases, fc.double({ min: 0.05, max: 1, noNaN: true }), (drawn, by) => {
        const brief = briefOf(drawn);
        const target = Object.fromEntries(
          Object.entries(brief.target).map(([axis, w]) => [
            axis,
            {
              ...w,
              ...(w.within === undefined ? {} : { within: w.within + by }),
              ...(w.at_least === undefined ? {} : { at_least: Math.max(0, w.at_least - by) }),
              ...(w.at_most === undefined ? {} : { at_most: Math.min(10, w.at_most + by) }),
            },
          ]),
        );
        noWorse(brief, answered(brief), answered(briefSchema.parse({ ...brief, target })));
      }),
      { numRuns: 40 },
    );
  });

  it('grows with the batch when stock, steps and least additions do', () => {
    fc.assert(
      fc.property(cases, fc.constantFrom(2, 3, 10), (drawn, times) => {
        const brief = briefOf(drawn);
        const scaled = (value: number | undefined) => (value === undefined ? value : value * times);
        const { limits, batch } = brief;
        const larger = briefSchema.parse({
          ...brief,
          batch: { ...batch, beer_l: batch.beer_l * times },
          limits: {
            ...limits,
            smallest_addition_g: scaled(limits.smallest_addition_g),
            weigh_step_g: scaled(limits.weigh_step_g),
          },
          candidates: (brief.candidates as Candidate[]).map((c) => ({
            ...c,
            grams_on_hand: scaled(c.grams_on_hand),
          })),
        });
        const [small, large] = [answered(brief), answered(larger)];
        expect(large.status).toBe(small.status);
        if (small.status === 'closest') return;
        const value = objective(brief, small);
        const difference = Math.abs(objective(larger, large) / times - value);
        expect(difference).toBeLessThanOrEqual(room(brief, value));
      }),
      { numRuns: 30 },
    );
  });
});
