// The prices of wishes against finite differences of the optimum itself, found by another way (golden
// section over the dry-hop load), the reach of prices, and the parts of signals against their sums.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES, FORMS } from '#shared/ids.ts';
import type { Price } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { contributionsOf } from '#optimize/sensitivity/contributions.ts';
import { design } from '#optimize/questions/design.ts';
import { fixedOptimum } from '#optimize/search/fixed-support.ts';
import { wishOf } from '#optimize/sensitivity/bounds.ts';
import { settling } from '#optimize/sensitivity/multipliers.ts';
import { pricing, settledOf, type SettledBlend } from '#optimize/sensitivity/shadow-prices.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Decision } from '#optimize/relaxation/node.ts';
import { MasterProgram } from '#optimize/relaxation/master-program.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { countedTime } from '../support/counted-time.ts';
import { randomBrief, type Shape } from '../support/instances.ts';

const BAND = { samples: 20, seed: 1 };
const SHAPES: readonly Shape[] = [
  { hops: 6, forms: 2, stages: ['mash', 'hot_steep', 'dry_hop'], wishes: 4, beerL: 20, step: 1 },
  { hops: 8, forms: 1, stages: ['hot_steep', 'dry_hop'], wishes: 4, beerL: 25, ibu: true },
  {
    hops: 6,
    forms: 1,
    stages: ['mash', 'dry_hop'],
    wishes: 3,
    beerL: 30,
    hopsAtMost: 3,
    smallest: 4,
    step: 1,
    stock: true,
    minimise: 'cost',
  },
];

/** A drawn brief of a few lots with a cap on the share of each hop, and something kept. */
function sharing(i: number): Brief {
  const brief = randomBrief(760 + i, {
    ...SHAPES[1]!,
    wishes: 2,
    minimise: i % 2 ? 'cost' : 'weight',
  });
  const [lot] = brief.candidates as Exclude<Brief['candidates'], 'table'>;
  const keep = i % 3 === 0 ? [{ ...lot!, grams: 10, stage: 'hot_steep' as const }] : [];
  const share_at_most = [0.45, 0.6, 0.7][i % 3]!;
  return { ...brief, keep, limits: { ...brief.limits, share_at_most } };
}

/** A brief whose best blend lies on flat ground: an eighth of its dry hop costs a part in 40,000. */
function flat(): Brief {
  const { brief } = SEED_BRIEFS.find(({ id }) => id === 'citrus-floral')!;
  return { ...brief, limits: { ...brief.limits, ibu_at_least: 20 } };
}

/** Feasible briefs: those of the workspace, one on flat ground, then drawn ones. */
const BRIEFS: readonly (readonly [string, Brief])[] = [
  ...SEED_BRIEFS.map(({ id, brief }) => [id, brief] as const),
  ['flat ground', flat()],
  ...Array.from(
    { length: 21 },
    (_, i) => [`drawn ${i}`, randomBrief(700 + i, SHAPES[i % SHAPES.length]!)] as const,
  ),
  ...Array.from({ length: 9 }, (_, i) => [`share ${i}`, sharing(i)] as const),
];

interface Case {
  readonly name: string;
  readonly settled: SettledBlend;
  readonly prices: readonly Price[];
}

const CASES: readonly Case[] = BRIEFS.flatMap(([name, brief]) => {
  const answer = design(model, brief, { band: BAND, timeLimitMs: 4000, now: countedTime() });
  if (!answer.ok || answer.value.status === 'closest') return [];
  const settled = settledOf(model, brief, answer.value.blends[0]!.additions);
  return settled ? [{ name, settled, prices: finished(pricing(settled)) }] : [];
});

/** The least objective at a load, all columns kept; one program is kept warm for all loads. */
function atLoads(problem: BlendProblem): (load: number) => number {
  const program = new MasterProgram(problem, 0);
  let decisions: Decision | null = null;
  problem.columns.forEach(({ most }, column) => {
    decisions = { kind: 'dose', column, lower: problem.least, upper: most, before: decisions };
  });
  const terms = problem.bitter?.terms ?? [];
  // Every choice of the sides of capped bitterness.
  const choices = Array.from({ length: 1 << terms.length }, (_, choice) =>
    terms.map((__, i) => ((choice >> i) & 1 ? ('capped' as const) : ('linear' as const))),
  );
  return (load) => {
    const values = choices.map((caps) => {
      const node = { interval: { from: load, to: load }, decisions, caps };
      const relaxed = finished(program.leastObjective(node, null, Infinity));
      return relaxed.status === 'solved' ? relaxed.bound : Infinity;
    });
    return Math.min(...values);
  };
}

/** The optimum by golden section over the load around the one found by branch and bound. */
function optimum(problem: BlendProblem): number {
  const found = fixedOptimum(problem);
  if (!found) return Infinity;
  const valueAt = atLoads(problem);
  const load = found.x.reduce((sum, dose, j) => sum + dose * problem.dry[j]!, 0);
  if (problem.dry.every((d) => d === 0)) return valueAt(0);
  let best = { load, value: valueAt(load) };
  // Wide, then narrow: the loads at which a blend exists may be few.
  for (const [width, until] of [
    [0.7, 0.03],
    [0.1, 0.003],
    [0.01, 0.0003],
    [0.001, 1e-7],
  ] as const) {
    best = golden(valueAt, best, width, until);
  }
  return best.value;
}

interface At {
  readonly load: number;
  readonly value: number;
}

/** Golden section within a share of a load to both sides, down to a share of it. */
function golden(valueAt: (load: number) => number, start: At, width: number, until: number): At {
  const { load } = start;
  let best = start;
  const look = (at: number) => {
    const value = valueAt(at);
    if (value < best.value) best = { load: at, value };
    return value;
  };
  let [a, b] = [load * (1 - width), load * (1 + width)];
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [c, d] = [b - ratio * (b - a), a + ratio * (b - a)];
  let [atC, atD] = [look(c), look(d)];
  while (b - a > until * (1 + b)) {
    // Loads without a blend lie on the far side of those with one.
    const left = atC === Infinity && atD === Infinity ? load < (c + d) / 2 : atC < atD;
    if (left) {
      [b, d, atD] = [d, c, atC];
      c = b - ratio * (b - a);
      atC = look(c);
    } else {
      [a, c, atC] = [c, d, atD];
      d = a + ratio * (b - a);
      atD = look(d);
    }
  }
  return best;
}

describe('prices of wishes', () => {
  it('are looked at on at least 20 briefs, those of the workspace that can be met among them', () => {
    expect(CASES.length).toBeGreaterThanOrEqual(20);
    const names = CASES.map((c) => c.name);
    expect(names).toContain('flat ground');
    for (const { id } of SEED_BRIEFS) if (id !== 'clash') expect(names).toContain(id);
  });

  it('name a price for the share of a hop in some', () => {
    const shares = CASES.flatMap(({ prices }) => prices).filter(
      (p) => p.wish === 'limits.share_at_most' && p.price > 0,
    );
    expect(shares.length).toBeGreaterThan(2);
    expect(new Set(shares.map((p) => `${p.unit} ${p.per}`))).toEqual(new Set(['share 0.01']));
    for (const { asked, got } of shares) expect(got).toBeCloseTo(asked, 9);
  });

  it.each(CASES)(
    '$name: agree with differences of the optimum within 1 %',
    ({ settled, prices }) => {
      const own = settled.at.objective;
      expect(Math.abs(optimum(settled.problem) / own - 1)).toBeLessThan(1e-6);
      expect(prices.some((p) => p.price > 0)).toBe(true);
      for (const { wish, side, asked, got, price, per, from, to } of prices) {
        const bound = settled.at.bounds.find((b) => wishOf(b) === wish && b.side === side)!;
        const value = (by: number) => optimum(bound.moved(asked + by));
        if (price === 0) {
          // It may be made as hard as the blend is without any cost.
          const harder = (got - asked) * 0.9;
          if (Math.abs(harder) > 1e-6 && wish !== 'limits.smallest_addition_g') {
            expect(
              Math.abs(value(harder) / own - 1),
              `${wish} ${side} ${asked} ${got}`,
            ).toBeLessThan(1e-6);
          }
          continue;
        }
        const up = (to ?? asked + per) - asked;
        const down = asked - (from ?? asked - per);
        const h = 0.004 * per;
        const [near, far] = up > down ? [h, 2 * h] : [-h, -2 * h];
        const slope =
          Math.min(up, down) > h
            ? (value(h) - value(-h)) / (2 * h)
            : (4 * value(near) - 3 * settled.at.objective - value(far)) / (2 * near);
        const signed = (side === 'at_least' ? 1 : -1) * slope * per;
        const scale = Math.max(price, 1e-4 * settled.at.objective);
        expect(Math.abs(signed - price) / scale, `${wish} ${side}`).toBeLessThan(0.01);
      }
    },
  );

  it('reach as far as the same wishes bind, and no further', () => {
    let seen = 0;
    for (const { settled, prices } of CASES.slice(0, 12)) {
      const { at } = settled;
      const binding = (p: BlendProblem) => {
        const m = finished(settling(p));
        return (
          m &&
          m.binding
            .map((b) => m.bounds.indexOf(b.bound))
            .sort()
            .join()
        );
      };
      const own = at.binding
        .map((b) => at.bounds.indexOf(b.bound))
        .sort()
        .join();
      for (const { wish, side, price, asked, from, to, per } of prices) {
        if (price === 0) continue;
        const bound = at.bounds.find((b) => wishOf(b) === wish && b.side === side)!;
        for (const end of [from, to]) {
          if (end === null || Math.abs(end - asked) > 50 * per) continue;
          seen += 1;
          expect(binding(bound.moved(asked + (end - asked) * 0.98)), `${wish} within`).toBe(own);
          const past = end + Math.sign(end - asked || (end === to ? 1 : -1)) * 0.06 * per;
          if (past > 0) expect(binding(bound.moved(past)), `${wish} beyond`).not.toBe(own);
        }
      }
    }
    expect(seen).toBeGreaterThan(20);
  });
});

describe('contributions', () => {
  it('add up to the signals of the engine', () => {
    const addition = fc.record({
      hop: fc.constantFrom('Citra', 'Cascade', 'Mosaic', 'Centennial', 'Saaz'),
      form: fc.constantFrom(...FORMS),
      stage: fc.constantFrom('mash', 'hot_steep', 'dry_hop'),
      grams: fc.double({ min: 0, max: 300, noNaN: true }),
    });
    const { batch, stages } = SEED_BRIEFS[0]!.brief;
    fc.assert(
      fc.property(fc.array(addition, { maxLength: 8 }), (additions) => {
        const made = designOf(model, { name: '', batch, stages, additions } as never);
        if (!made.ok) throw new Error(JSON.stringify(made.problems));
        const point = predictPoint(model, made.value);
        const parts = contributionsOf(model, made.value);
        AXES.forEach((axis, i) => {
          const sum = parts.reduce((s, p) => s + p.axes[axis].signal, 0);
          expect(Math.abs(sum - point.signals[i]!)).toBeLessThanOrEqual(1e-9 * (1 + sum));
          const shares = parts.map((p) => p.axes[axis].share);
          if (sum > 0) expect(shares.reduce((s, v) => s! + v!, 0)).toBeCloseTo(1, 9);
          else expect(new Set(shares)).toEqual(new Set([null]));
        });
      }),
      { numRuns: 60 },
    );
  });
});
