// Among equally good blends the one of fewer hops is shown, then the cheaper, or the one of fewer
// additions: against plain enumeration on small briefs, on instances whose ties are known, and as a
// law on drawn ones.
import { describe, expect, it } from 'vitest';
import type { Blend } from '#shared/answers/answer.ts';
import { briefSchema, scheduleSchema, type Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { designOf } from '#engine/predict/design.ts';
import { predict } from '#engine/answer/answer.ts';
import { design, designing } from '#optimize/questions/design.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { meritOf } from '#optimize/search/primal-heuristic.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { Search } from '#optimize/search/search.ts';
import { objectiveOf as meritAt } from '#optimize/problem/evaluation.ts';
import { objectiveOf, randomBrief, soundProblem, STAGES } from '../support/instances.ts';

const BAND = { samples: 20, seed: 1 };

function answered(brief: Brief): { status: string; lower_bound: number; blend: Blend } {
  const outcome = design(model, brief, { band: BAND });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  const { status, lower_bound, blends } = outcome.value;
  return { status, lower_bound, blend: blends[0]! };
}

const hopsOf = ({ additions }: Blend) => new Set(additions.map((a) => a.hop)).size;

/** A hop with these shares of much myrcene (resin) and much free 3SH (tropical), and no other smell. */
function lot(hop: string, resin: number, tropical: number, price?: number): Candidate {
  return {
    hop,
    form: 'pellet_90',
    ...(price === undefined ? {} : { price_per_kg: price }),
    analysis: {
      alpha_pct: 5,
      total_oil_ml_per_100g: 2,
      myrcene_pct_of_oil: 60 * resin,
      humulene_pct_of_oil: 0,
      caryophyllene_pct_of_oil: 0,
      geraniol_pct_of_oil: 0,
      linalool_pct_of_oil: 0,
      sh3_ug_per_kg: 60 * tropical,
      sha3_ug_per_kg: 0,
      msp4_ug_per_kg: 0,
      s3mp4_ug_per_kg: 0,
      g_sh3_mg_per_kg: 0,
    },
  };
}

const BATCH = { beer_l: 20, yeast: 'standard', malt_g_per_l: 0 } as const;

function tieBrief(candidates: Candidate[], target: Brief['target']): Brief {
  return briefSchema.parse({
    batch: BATCH,
    stages: { dry_hop: STAGES.dry_hop },
    target,
    limits: { weigh_step_g: 10 },
    candidates,
  });
}

/** Fewest hops, and of those the least cost, of all blends of so many whole steps in all. */
function enumerated(problem: BlendProblem, steps: number): { hops: number; cost: number } {
  const { columns, step, offers, beerL } = problem;
  const counts = columns.map(() => 0);
  let best = { hops: Infinity, cost: Infinity };
  const visit = (at: number, left: number) => {
    if (at < columns.length) {
      for (let n = 0; n <= left; n += 1) {
        counts[at] = n;
        visit(at + 1, left - n);
      }
      counts[at] = 0;
      return;
    }
    if (left > 0) return;
    const used = columns.flatMap((_, j) => (counts[j]! > 0 ? [j] : []));
    const doses = { columns: used, doses: used.map((j) => counts[j]! * step) };
    if (meritOf(problem, doses, 'objective', 0) === Infinity) return;
    const hops = new Set(used.map((j) => columns[j]!.variety)).size;
    const price = (j: number) => offers[columns[j]!.lot]!.lot.pricePerKg!;
    const cost = used.reduce((sum, j) => sum + (counts[j]! * step * beerL * price(j)) / 1000, 0);
    if (hops < best.hops || (hops === best.hops && cost < best.cost)) best = { hops, cost };
  };
  visit(0, steps);
  return best;
}

describe('ties between equally good blends', () => {
  it('are broken as enumeration breaks them: hops first, then cost', () => {
    const GRAMS = 10;
    let [fewer, compared] = [0, 0];
    for (let seed = 700; seed < 760; seed += 1) {
      const brief = randomBrief(seed, {
        hops: 4,
        forms: 1,
        stages: seed % 2 ? ['hot_steep', 'dry_hop'] : ['mash', 'dry_hop'],
        wishes: 2,
        beerL: 5,
        step: GRAMS,
        // Of so little room that most blends take more than one step.
        room: [0.05, 0.3],
      });
      const problem = soundProblem(brief);
      const { status, blend } = answered(brief);
      const steps = Math.round(blend.totals.hop_g / GRAMS);
      if (status !== 'optimal' || steps < 2 || steps > 7) continue;
      const truth = enumerated(problem, steps);
      compared += 1;
      expect(hopsOf(blend)).toBe(truth.hops);
      expect(blend.totals.cost).toBeGreaterThanOrEqual(truth.cost - 1e-9);
      expect(blend.totals.cost).toBeLessThanOrEqual(truth.cost * (1 + PROVEN_GAP));

      const search = new Search(problem, 'objective', 0, 0);
      while (search.step());
      const plain = new Set(
        search.incumbent!.doses.columns.map((j) => problem.columns[j]!.variety),
      );
      if (truth.hops < plain.size) fewer += 1;
    }
    expect(compared).toBeGreaterThan(20);
    expect(fewer).toBeGreaterThan(5);
  });

  it('never make a blend heavier or give it more hops', () => {
    let better = 0;
    for (let seed = 0; seed < 48; seed += 1) {
      const brief = randomBrief(seed, {
        hops: 12,
        forms: 2,
        stages: ['hot_steep', 'dry_hop'],
        wishes: 3,
        beerL: 20,
        ...(seed % 2 ? { step: 1, smallest: 5 } : {}),
        minimise: (['weight', 'cost', 'leaf'] as const)[seed % 3]!,
        room: [0.2, 0.6],
      });
      const problem = soundProblem(brief);
      const search = new Search(problem, 'objective', 0, 0);
      while (search.step());
      const { status, blend, lower_bound } = answered(brief);
      if (!search.incumbent || status !== 'optimal') continue;
      const { doses } = search.incumbent;
      const hops = new Set(doses.columns.map((j) => problem.columns[j]!.variety)).size;
      const figure = objectiveOf(brief, blend);
      expect(figure).toBeLessThanOrEqual(meritAt(problem, doses) * (1 + 2e-6) + 1e-9);
      expect(lower_bound).toBeLessThanOrEqual(figure + 1e-9);
      expect(hopsOf(blend)).toBeLessThanOrEqual(hops);
      if (hopsOf(blend) < hops || blend.additions.length < doses.columns.length) better += 1;
    }
    expect(better).toBeGreaterThan(0);
  });

  /**
   * Two lots, each with one half of what is wished, and a third with a little less than half of
   * both: by the gram the two are lighter, in whole steps all three are the same.
   */
  const halves = (names: readonly [string, string, string]): Candidate[] => [
    lot(names[0], 1, 0),
    lot(names[1], 0, 1),
    lot(names[2], 0.475, 0.475),
  ];
  const [resinous, fruity] = [lot('Invented', 1, 0), lot('Invented', 0, 1)];
  const schedule = scheduleSchema.parse({
    batch: BATCH,
    stages: { dry_hop: STAGES.dry_hop },
    additions: [resinous, fruity].map((l) => ({ ...l, stage: 'dry_hop', grams: 17.5 })),
  });
  const drawn = designOf(model, schedule);
  if (!drawn.ok) throw new Error(JSON.stringify(drawn.problems));
  const { axes } = predict(model, drawn.value, BAND);
  const wishes = {
    resin: { at_least: axes.resin.intensity },
    tropical: { at_least: axes.tropical.intensity },
  };

  it('go to one hop where it gives what two give together', () => {
    const lots = halves(['Invented floral', 'Invented citrus', 'Invented both']);
    const two = answered(tieBrief(lots.slice(0, 2), wishes)).blend;
    expect(hopsOf(two)).toBe(2);
    const { blend } = answered(tieBrief(lots, wishes));
    expect(blend.additions.map((a) => a.hop)).toEqual(['Invented both']);
    expect(blend.totals.hop_g).toBe(two.totals.hop_g);
  });

  it('go to fewer additions of the same hop where prices are missing', () => {
    const lots = halves(['Invented', 'Invented', 'Invented']);
    const two = answered(tieBrief(lots.slice(0, 2), wishes)).blend;
    expect(two.additions).toHaveLength(2);
    const { blend } = answered(tieBrief(lots, wishes));
    expect(blend.additions).toHaveLength(1);
    expect(blend.totals.hop_g).toBe(two.totals.hop_g);
  });

  it('go to the cheaper of two hops that are the same in all but price', () => {
    for (const prices of [
      [30, 20],
      [20, 30],
    ]) {
      const lots = prices.map((price, i) => lot(`Invented ${i + 1}`, 1, 0, price));
      const { blend } = answered(tieBrief(lots, { resin: { at_least: 1 } }));
      expect(blend.additions.map((a) => a.price_per_kg)).toEqual([20]);
    }
  });

  it('hear a stop and keep the blend that was proven', () => {
    const brief = randomBrief(1024, {
      hops: 60,
      forms: 2,
      stages: ['mash', 'hot_steep', 'dry_hop'],
      wishes: 6,
      beerL: 40,
      hopsAtMost: 4,
      smallest: 10,
      step: 1,
    });
    const whole = answered(brief);
    expect(whole.status).toBe('optimal');
    const search = designing(model, brief, { band: BAND });
    let step = search.next();
    let last = 0;
    while (!step.done) {
      const proven = step.value.gap * (step.value.objective ?? Infinity) < 1 - 1e-6;
      last = step.value.objective ?? last;
      step = search.next(proven ? 'stop' : undefined);
    }
    if (!step.value.ok) throw new Error(JSON.stringify(step.value.problems));
    expect(step.value.value.blends[0]!.totals.hop_g).toBeLessThanOrEqual(last + 1e-6);
    expect(step.value.value.blends[0]!.misses).toEqual([]);
  });
});
