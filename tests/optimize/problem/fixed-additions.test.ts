// Additions that stay as they are: the problem's constants against the engine, limits on the whole
// beer, and the search around them against a search in which they are ordinary doses.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { model } from '#engine/tables/model.ts';
import { additionsOf } from '#optimize/problem/check.ts';
import { freeStock } from '#optimize/problem/fixed-additions.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { design } from '#optimize/questions/design.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { tradingOff } from '#optimize/questions/tradeoff.ts';
import { loadOf, signalAt } from '#optimize/problem/evaluation.ts';
import { ibuAt } from '#optimize/problem/bitterness.ts';
import { randomBrief, soundProblem, type Shape } from '../support/instances.ts';

const SHAPE: Shape = {
  hops: 4,
  forms: 2,
  stages: STAGE_KINDS,
  wishes: 4,
  beerL: 20,
  ibu: true,
};

function keeping(brief: Brief, grams: readonly number[]): Brief {
  const lots = brief.candidates as Exclude<Brief['candidates'], 'table'>;
  const keep = grams.map((g, i) => {
    const { hop, form, analysis, price_per_kg } = lots[(i * 3) % lots.length]!;
    return { hop, form, analysis, price_per_kg, grams: g, stage: STAGE_KINDS[i % 3]! };
  });
  return { ...brief, keep };
}

describe('kept additions', () => {
  it('are taken from their own lot, and only lots that may be it are looked at closely', () => {
    const { offers } = soundProblem(randomBrief(3, { ...SHAPE, hops: 1, lotsPerHop: 60 }));
    let texts = 0;
    const counted = {
      value(this: object) {
        texts += 1;
        return { ...this };
      },
    };
    const lots = offers.map(({ lot }) => {
      const figures = Object.defineProperty({ ...lot.figures }, 'toJSON', counted);
      return { ...lot, figures, gramsOnHand: 100 };
    });
    expect(lots.length).toBeGreaterThan(50);
    const free = freeStock(lots, { additions: [{ lot: lots[5]!, stage: 'mash', grams: 30 }] });
    expect(free).toEqual(lots.map((_, i) => (i === 5 ? 70 : 100)));
    expect(texts).toBeLessThan(4);
  });

  it('count in the problem exactly as the engine counts them', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1000 }),
        fc.array(fc.double({ min: 0.1, max: 300, noNaN: true }), { minLength: 1, maxLength: 5 }),
        fc.array(fc.double({ min: 0, max: 8, noNaN: true }), { minLength: 3, maxLength: 3 }),
        (seed, kept, doses) => {
          const brief = keeping(randomBrief(seed, SHAPE), kept);
          const problem = soundProblem(brief);
          // Some briefs have few columns: dominated ones are left out.
          const last = problem.columns.length - 1;
          const columns = [0, Math.floor(last / 2), last];
          const blend = { columns, doses };
          const { lots } = additionsOf(problem, brief, blend);
          const design = { ...brief, additions: lots };
          const point = predictPoint(model, design);
          const load = loadOf(problem, blend);
          for (const row of problem.axes) {
            const engine = point.signals[AXES.indexOf(row.axis)]!;
            expect(signalAt(problem, row, blend, load) / engine).toBeCloseTo(1, 8);
          }
          if (problem.bitter) {
            expect(ibuAt(problem, blend, load)).toBeCloseTo(point.totals.ibu, 6);
          }
        },
      ),
      { numRuns: 60 },
    );
  });

  it('are in every blend to the gram, and the rest is no heavier than without the freedom', () => {
    for (const seed of [3, 8, 21]) {
      const plain = randomBrief(seed, { ...SHAPE, step: 1, smallest: 5, ibu: false });
      const free = design(model, plain, { band: { samples: 20, seed: 1 } });
      if (!free.ok || free.value.status !== 'optimal') throw new Error('a brief for this test');
      const [best] = free.value.blends;
      const [first] = best!.additions;
      // What the best blend holds may be kept: the best around it is the same weight.
      const brief = { ...plain, keep: [first!] };
      const kept = design(model, brief, { band: { samples: 20, seed: 1 } });
      if (!kept.ok) throw new Error(JSON.stringify(kept.problems));
      const [blend] = kept.value.blends;
      expect(blend!.additions).toContainEqual(first);
      expect(kept.value.status).toBe('optimal');
      const room = Math.max(1, best!.totals.hop_g * 0.01) + 1e-6;
      expect(Math.abs(blend!.totals.hop_g - best!.totals.hop_g)).toBeLessThanOrEqual(room);
      expect(kept.value.lower_bound).toBeLessThanOrEqual(blend!.totals.hop_g + 1e-6);
    }
  });

  it('take their share of limits, and of the stock of their own lot', () => {
    const brief = randomBrief(5, { ...SHAPE, ibu: false });
    const lots = brief.candidates as Exclude<Brief['candidates'], 'table'>;
    const [lot] = lots;
    const stage: StageKind = 'dry_hop';
    const { hop, form, analysis } = lot!;
    const kept: Brief = {
      ...brief,
      candidates: [{ ...lot!, grams_on_hand: 100 }],
      keep: [{ hop, form, analysis, stage, grams: 70 }],
      limits: { ...brief.limits, stage_at_most_g_per_l: { dry_hop: 5 } },
    };
    const problem = soundProblem(kept);
    const dry = problem.columns.find((c) => c.stage === 'dry_hop')!;
    expect(dry.most).toBeCloseTo(1.5, 9);
    const limit = problem.limits.find((l) => l.of.kind === 'stage' && l.of.stage === 'dry_hop')!;
    expect(limit.most).toBeCloseTo(1.5, 9);
    const stock = problem.limits.find((l) => l.of.kind === 'stock')!;
    expect(stock.most).toBeCloseTo(1.5, 9);
  });

  it('are taken once from the stock, however many lots are like theirs', () => {
    const brief = randomBrief(5, { ...SHAPE, ibu: false });
    const lots = brief.candidates as Exclude<Brief['candidates'], 'table'>;
    const { hop, form, analysis } = lots[0]!;
    const of = (price_per_kg: number, grams_on_hand: number) => {
      return { hop, form, analysis, price_per_kg, grams_on_hand };
    };
    const addition = { hop, form, analysis, stage: 'dry_hop' } as const;
    const stock = (grams: number, price_per_kg: number) => {
      const candidates = [of(20, 40), of(30, 30), of(20, 10)];
      const keep = [{ ...addition, grams, price_per_kg }];
      const { columns, offers, beerL } = soundProblem({ ...brief, candidates, keep });
      expect(offers.map((o) => o.lot.gramsOnHand)).toEqual([50, 30]);
      return [0, 1].map((i) => (columns.find((c) => c.lot === i)?.most ?? 0) * beerL);
    };
    // From the lot that is named, then from the other one.
    expect(stock(12, 20)).toEqual([38, 30].map((g) => expect.closeTo(g, 6)));
    expect(stock(12, 30)).toEqual([50, 18].map((g) => expect.closeTo(g, 6)));
    expect(stock(45, 30)).toEqual([35, 0].map((g) => expect.closeTo(g, 6)));
    expect(stock(12, 99)).toEqual([38, 30].map((g) => expect.closeTo(g, 6)));
  });

  it('without a price are refused where the whole cost is limited', () => {
    const brief = randomBrief(5, SHAPE);
    const lots = brief.candidates as Exclude<Brief['candidates'], 'table'>;
    const { hop, form, analysis } = lots[0]!;
    const outcome = problemOf(model, {
      ...brief,
      keep: [{ hop, form, analysis, stage: 'dry_hop', grams: 20 }],
      limits: { ...brief.limits, cost_at_most: 10 },
    });
    expect(outcome.ok).toBe(false);
    if (!outcome.ok) expect(outcome.problems[0]!.path).toBe('keep[0].price_per_kg');
  });

  it('without a price are reported where the cost is minimised, and leave no curve of it', () => {
    const plain: Brief = { ...randomBrief(5, { ...SHAPE, ibu: false }), minimise: 'cost' };
    const lots = plain.candidates as Exclude<Brief['candidates'], 'table'>;
    const { hop, form, analysis } = lots[0]!;
    const brief = { ...plain, keep: [{ hop, form, analysis, stage: 'mash' as const, grams: 20 }] };
    const answer = design(model, brief, { band: { samples: 20, seed: 1 } });
    if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
    expect(answer.value.blends[0]!.totals.cost).toBeNull();
    expect(answer.value.why.notes.join()).toContain('no price_per_kg');
    const curve = finished(tradingOff(model, brief, 'cost'));
    expect(curve.ok ? '' : curve.problems[0]!.path).toBe('keep');
  });

  it('that cannot be known are refused by their place in the brief', () => {
    const keep = [
      { hop: 'No such hop', form: 'pellet_90' as const, stage: 'mash' as const, grams: 5 },
    ];
    const outcome = problemOf(model, { ...randomBrief(5, SHAPE), keep });
    expect(outcome.ok).toBe(false);
    if (!outcome.ok) expect(outcome.problems[0]!.path).toBe('keep[0].hop');
  });
});
