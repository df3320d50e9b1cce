// Lots bought in whole packages: what is paid and left by the engine, the least cost against plain
// enumeration and against an integer program (oracle.ts), and what is asked of such briefs beside it.
import { describe, expect, it } from 'vitest';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { readBrief } from '#shared/reading/read.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { predict } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { answered } from '#optimize/questions/answering.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { design } from '#optimize/questions/design.ts';
import { stepObjective } from '#optimize/problem/objectives.ts';
import { withPackages } from '#optimize/problem/packages.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { cutOf } from '#optimize/relaxation/package-cuts.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { meritOf } from '#optimize/search/primal-heuristic.ts';
import { saving } from '#optimize/questions/savings.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { tradingOff } from '#optimize/questions/tradeoff.ts';
import { between, soundProblem } from '../support/instances.ts';
import { packagedBrief } from '../support/large-lists.ts';
import { readingOf } from '../support/oracle-reading.ts';
import { bestOverLoads } from '../support/oracle.ts';

const BAND = { samples: 20, seed: 1 };

/** The least a program of its own finds; infinite where there is no blend. */
function least(brief: Brief): number {
  return bestOverLoads(readingOf(brief)).blend?.objective ?? Infinity;
}

function answer(brief: Brief, alternatives = 1): DesignAnswer {
  const outcome = design(model, brief, { band: BAND, alternatives });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

/** What additions cost, counted here. @param kept part of its price that what is left keeps, %. */
function paid(additions: DesignAnswer['blends'][0]['additions'], kept = 0): number {
  const grams = new Map<string, number>();
  for (const a of additions) grams.set(a.hop, (grams.get(a.hop) ?? 0) + a.grams);
  return [...grams].reduce((sum, [hop, g]) => {
    const { price_per_kg: price, package_g: size } = additions.find((a) => a.hop === hop)!;
    const bought = size === undefined ? g : Math.ceil(g / size - 1e-9) * size;
    return sum + ((bought - (kept / 100) * (bought - g)) / 1000) * price!;
  }, 0);
}

/** Least cost of all blends in whole steps up to so many in all. */
function leastCost(problem: BlendProblem, steps: number): number {
  const { columns, step } = problem;
  const real = columns.flatMap((c, j) => (c.stage === null ? [] : [j]));
  const counts = real.map(() => 0);
  let best = Infinity;
  const visit = (at: number, left: number) => {
    if (at === real.length) {
      const used = real.flatMap((_, i) => (counts[i]! > 0 ? [i] : []));
      const doses = {
        columns: used.map((i) => real[i]!),
        doses: used.map((i) => counts[i]! * step),
      };
      best = Math.min(best, meritOf(problem, withPackages(problem, doses), 'objective', 0));
      return;
    }
    for (let n = 0; n <= left; n += 1) {
      counts[at] = n;
      visit(at + 1, left - n);
    }
    counts[at] = 0;
  };
  visit(0, steps);
  return best;
}

function tolerance({ objective, step }: BlendProblem, truth: number): number {
  const dear = Math.max(...objective);
  const cheapest = Math.min(...objective.filter((c) => c > dear / 100));
  return Math.max(PROVEN_GAP * truth, step * cheapest) + 1e-6;
}

describe('packages', () => {
  it('are opened whole, and what is left of them is said', () => {
    const { batch, stages } = packagedBrief(1);
    const lot = { form: 'pellet_90', price_per_kg: 40 } as const;
    const made = designOf(model, {
      name: '',
      batch,
      stages,
      additions: [
        { ...lot, hop: 'Citra', stage: 'mash', grams: 60, package_g: 100 },
        { ...lot, hop: 'Citra', stage: 'hot_steep', grams: 60, package_g: 100 },
        { ...lot, hop: 'Cascade', stage: 'mash', grams: 30 },
        { ...lot, hop: 'Saaz', stage: 'mash', grams: 50, package_g: 25 },
      ],
    });
    if (!made.ok) throw new Error(JSON.stringify(made.problems));
    const { totals, purchases } = predict(model, made.value, BAND);
    expect(totals.cost).toBeCloseTo(8 + 1.2 + 2, 12);
    expect(purchases).toEqual([
      { hop: 'Citra', form: 'pellet_90', package_g: 100, packages: 2, cost: 8, grams_left: 80 },
      { hop: 'Saaz', form: 'pellet_90', package_g: 25, packages: 2, cost: 2, grams_left: 0 },
    ]);
  });

  it('are refused for a lot on hand', () => {
    const { candidates, ...brief } = packagedBrief(1);
    const lots = (candidates as Candidate[]).map((c) => ({
      ...c,
      package_g: 100,
      grams_on_hand: 20,
    }));
    const read = readBrief(JSON.stringify({ ...brief, candidates: lots }));
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.problems[0]!.cure).toContain('a lot of its own');
  });

  it('cost the least that an integer program finds', () => {
    let bought = 0;
    for (let seed = 1100; seed < 1124; seed += 1) {
      const dry = seed % 4 === 3;
      const brief = packagedBrief(seed, dry ? { stages: ['hot_steep', 'dry_hop'], step: 20 } : {});
      const problem = soundProblem(brief);
      const truth = least(brief);
      const { status, lower_bound, blends } = answer(brief);
      const [blend] = blends;
      expect(status === 'closest').toBe(truth === Infinity);
      if (truth === Infinity) continue;
      expect(status).toBe('optimal');
      expect(blend!.misses).toEqual([]);
      expect(blend!.totals.cost).toBeCloseTo(paid(blend!.additions), 9);
      expect(blend!.totals.cost).toBeGreaterThanOrEqual(truth * (1 - 1e-6) - 1e-6);
      expect(blend!.totals.cost).toBeLessThanOrEqual(truth + tolerance(problem, truth));
      expect(lower_bound).toBeLessThanOrEqual(truth * (1 + 1e-6) + 1e-6);
      bought += blend!.purchases?.some((p) => p.grams_left > 0) ? 1 : 0;
    }
    expect(bought).toBeGreaterThan(8);
  });

  it('cost the least that an integer program finds where what is left keeps a part of its price', () => {
    let [left, other] = [0, 0];
    for (let seed = 1100; seed < 1124; seed += 1) {
      const dry = seed % 4 === 3;
      const plain = packagedBrief(seed, dry ? { stages: ['hot_steep', 'dry_hop'], step: 20 } : {});
      const leftover_value_pct = [50, 90, 100][seed % 3]!;
      const brief = { ...plain, batch: { ...plain.batch, leftover_value_pct } };
      const truth = least(brief);
      const { status, lower_bound, blends } = answer(brief);
      expect(status === 'closest').toBe(truth === Infinity);
      if (truth === Infinity) continue;
      expect(status).toBe('optimal');
      const { additions, misses, purchases, totals } = blends[0]!;
      expect(misses).toEqual([]);
      expect(totals.cost).toBeCloseTo(paid(additions, leftover_value_pct), 9);
      expect(totals.cost).toBeGreaterThanOrEqual(truth * (1 - 1e-6) - 1e-6);
      expect(totals.cost).toBeLessThanOrEqual(truth + tolerance(soundProblem(brief), truth));
      expect(lower_bound).toBeLessThanOrEqual(truth * (1 + 1e-6) + 1e-6);
      left += purchases?.some((p) => p.grams_left > 0) ? 1 : 0;
      // The blend that is best where the rest is worth nothing costs more than this one.
      const blind = paid(answer(plain).blends[0]!.additions, leftover_value_pct);
      if (blind > totals.cost! * 1.005) other += 1;
    }
    expect(left).toBeGreaterThan(8);
    expect(other).toBeGreaterThan(3);
  });

  it('are paid by the gram where what is left keeps all of its price', () => {
    for (let seed = 1100; seed < 1112; seed += 1) {
      const brief = packagedBrief(seed);
      const kept = answer({ ...brief, batch: { ...brief.batch, leftover_value_pct: 100 } });
      const candidates = (brief.candidates as Candidate[]).map(({ package_g: _, ...lot }) => lot);
      const loose = answer({ ...brief, candidates });
      expect(kept.status).toBe(loose.status);
      if (loose.status !== 'optimal') continue;
      const [a, b] = [kept, loose].map(({ blends }) => blends[0]!.totals.cost!);
      const room = tolerance(soundProblem(brief), b!);
      expect(Math.abs(a! - b!)).toBeLessThanOrEqual(room);
    }
  });

  it('count alike as a limit on the cost', () => {
    let held = 0;
    for (let seed = 1300; seed < 1308; seed += 1) {
      const plain = packagedBrief(seed);
      const brief = { ...plain, batch: { ...plain.batch, leftover_value_pct: 60 } };
      const cheapest = answer(brief);
      if (cheapest.status !== 'optimal') continue;
      const cost_at_most = cheapest.blends[0]!.totals.cost! * 1.03;
      const limits = { ...brief.limits, cost_at_most };
      const capped: Brief = { ...brief, minimise: 'weight', limits };
      const { status, blends } = answer(capped);
      expect(status).toBe('optimal');
      const { additions, totals } = blends[0]!;
      expect(paid(additions, 60)).toBeLessThanOrEqual(cost_at_most + 1e-6);
      const truth = least(capped);
      const step = brief.limits.weigh_step_g ?? 0;
      expect(totals.hop_g).toBeGreaterThanOrEqual(truth * (1 - 1e-6) - 1e-6);
      expect(totals.hop_g).toBeLessThanOrEqual(truth + Math.max(PROVEN_GAP * truth, step) + 1e-6);
      held += 1;
    }
    expect(held).toBeGreaterThan(3);
  });

  it('are no whole number of weighing steps where they hold none', () => {
    const lots = packagedBrief(1101).candidates as Candidate[];
    const isCommon = (size: number) => {
      const candidates = lots.map((lot) => ({ ...lot, price_per_kg: 40, package_g: size }));
      const limits = { ban: [], require: [], weigh_step_g: 5 };
      return stepObjective(soundProblem({ ...packagedBrief(1101), candidates, limits })).isCommon;
    };
    expect(isCommon(100)).toBe(true);
    expect(isCommon(28)).toBe(false);
  });

  it('cost the least of all blends enumerated', () => {
    let compared = 0;
    for (let seed = 1200; seed < 1212; seed += 1) {
      const brief = packagedBrief(seed, {
        hops: 3,
        stages: ['hot_steep', 'dry_hop'],
        wishes: 2,
        beerL: 5,
        step: 15,
        room: [0.3, 0.9],
      });
      const problem = soundProblem(brief);
      const truth = leastCost(problem, 6);
      const { status, blends } = answer(brief);
      if (status !== 'optimal' || blends[0]!.totals.hop_g > 6 * 15 + 1e-9) continue;
      compared += 1;
      expect(blends[0]!.totals.cost).toBeCloseTo(paid(blends[0]!.additions), 9);
      expect(blends[0]!.totals.cost).toBeLessThanOrEqual(truth + tolerance(problem, truth));
    }
    expect(compared).toBeGreaterThan(5);
  });

  it('are not used up for nothing: of blends of equal cost the lightest is shown', () => {
    let lighter = 0;
    for (let seed = 1100; seed < 1112; seed += 1) {
      const brief = packagedBrief(seed, { stages: ['mash', 'hot_steep'] });
      const { status, blends } = answer(brief);
      if (status !== 'optimal') continue;
      const { cost, hop_g } = blends[0]!.totals;
      const hops_at_most = new Set(blends[0]!.additions.map((a) => a.hop)).size;
      const limits = { ...brief.limits, cost_at_most: cost! * (1 + 1e-6), hops_at_most };
      const truth = least({ ...brief, minimise: 'weight', limits });
      const step = brief.limits.weigh_step_g ?? 0;
      expect(hop_g).toBeLessThanOrEqual(truth + Math.max(step, 2 * PROVEN_GAP * truth) + 1e-6);
      const left = blends[0]!.purchases?.reduce((sum, p) => sum + p.grams_left, 0) ?? 0;
      if (left > 5) lighter += 1;
    }
    expect(lighter).toBeGreaterThan(3);
  });

  it('keep a budget that counts them whole', () => {
    let bound = 0;
    for (let seed = 1300; seed < 1312; seed += 1) {
      const cheapest = answer(packagedBrief(seed));
      if (cheapest.status !== 'optimal') continue;
      const lowest = cheapest.blends[0]!.totals.cost!;
      const light = { ...packagedBrief(seed), minimise: 'weight' as const };
      const free = answer(light).blends[0]!;
      const capped: Brief = { ...light, limits: { ...light.limits, cost_at_most: lowest * 1.05 } };
      const held = answer(capped);
      expect(held.status).toBe('optimal');
      expect(held.blends[0]!.totals.cost).toBeLessThanOrEqual(lowest * 1.05 + 1e-6);
      const truth = least(capped);
      const step = light.limits.weigh_step_g ?? 0;
      const { hop_g } = held.blends[0]!.totals;
      expect(hop_g).toBeGreaterThanOrEqual(truth * (1 - 1e-6) - 1e-6);
      expect(hop_g).toBeLessThanOrEqual(truth + Math.max(PROVEN_GAP * truth, step) + 1e-6);
      if (free.totals.cost! > lowest * 1.05) bound += 1;
    }
    expect(bound).toBeGreaterThan(2);
  });

  it('count in further blends, on the curve against cost and in savings', () => {
    const brief = packagedBrief(1101, { hops: 6 });
    const { blends } = answer(brief, 3);
    const costs = blends.map((b) => b.totals.cost!);
    expect(costs).toEqual([...costs].sort((a, b) => a - b));
    for (const { additions, totals } of blends) expect(totals.cost).toBeCloseTo(paid(additions), 9);

    const curve = finished(tradingOff(model, brief, 'cost', { band: BAND }));
    if (!curve.ok) throw new Error(JSON.stringify(curve.problems));
    const points = curve.value.points;
    expect(Math.min(...points.map((p) => p.cost!))).toBeCloseTo(costs[0]!, 9);
    for (const { blend, cost } of points) expect(cost).toBeCloseTo(paid(blend.additions), 9);

    const { name, batch, stages } = brief;
    const schedule = { name, batch, stages, additions: [...blends[0]!.additions] };
    const limits = { ban: [], require: [] };
    const saved = finished(
      saving(model, { ...schedule, candidates: brief.candidates, limits }, { band: BAND }),
    );
    if (!saved.ok) throw new Error(JSON.stringify(saved.problems));
    const cheapest = saved.value.blends.find((b) => b.minimised === 'cost')!;
    expect(cheapest.totals.cost).toBeCloseTo(paid(cheapest.additions), 9);
    expect(cheapest.totals.cost).toBeLessThanOrEqual(costs[0]! + 1e-9);
  });

  it('have no prices of wishes and no blend that holds in a share of lots, and the reason is said', () => {
    const outcome = answered(model, packagedBrief(1101), {
      band: BAND,
      explain: {},
      holdInShare: 0.8,
    });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const { why } = outcome.value;
    expect(why.prices).toBeUndefined();
    expect(why.hold).toBeUndefined();
    expect(why.notes.filter((n) => /bought in whole packages/i.test(n))).toHaveLength(2);
  });
});

describe('a cut of a row over packages', () => {
  it('holds for all whole packages that keep the row, and forbids some opened by the gram', () => {
    let cuts = 0;
    let held = 0;
    const random = randomFrom(0.375);
    const drawn = (problem: BlendProblem): Doses => {
      const real = problem.columns.flatMap((c, j) => (c.stage === null ? [] : [j]));
      const columns = real.filter(() => random.uniform() < 0.5);
      return {
        columns,
        doses: columns.map((j) => random.uniform() ** 2 * Math.min(problem.columns[j]!.most, 12)),
      };
    };
    const sumOf = (vector: Float64Array, { columns, doses }: Doses) =>
      columns.reduce((sum, j, k) => sum + vector[j]! * doses[k]!, 0);
    for (let seed = 0; seed < 200; seed += 1) {
      const problem = soundProblem(packagedBrief(seed % 20));
      const gain = Float64Array.from(problem.columns, () => between(random, -0.3, 1));
      const need = between(random, 0.5, 12);
      const cut = cutOf(problem, { gain, need }, drawn(problem));
      if (!cut) continue;
      cuts += 1;
      for (let i = 0; i < 50; i += 1) {
        const whole = withPackages(problem, drawn(problem));
        if (sumOf(gain, whole) < need) continue;
        held += 1;
        expect(sumOf(cut.coef, whole), `seed ${seed}`).toBeGreaterThanOrEqual(1 - 1e-9);
      }
    }
    expect(cuts).toBeGreaterThan(50);
    expect(held).toBeGreaterThan(500);
  });
});
