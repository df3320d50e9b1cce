// Why a hop is not in a blend: the dearer blend with it, and that the change named makes it pay where
// a little less would not.
import { describe, expect, it } from 'vitest';
import type { DesignAnswer, WhyNot } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { answered } from '#optimize/questions/answering.ts';
import { fixedSupport } from '#optimize/search/fixed-support.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { settling } from '#optimize/sensitivity/multipliers.ts';
import { settledOf } from '#optimize/sensitivity/shadow-prices.ts';
import { problemOf } from '#optimize/problem/stating.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { randomBrief } from '../support/instances.ts';

const LITTLE_G_PER_L = 0.01;
const BAND = { samples: 20, seed: 1 };

function asked(brief: Brief, whyNot: readonly string[]): DesignAnswer {
  const answer = answered(model, brief, { band: BAND, explain: { whyNot } });
  if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
  return answer.value;
}

function reasonsFor(brief: Brief, hops: readonly string[]): readonly WhyNot[] {
  return asked(brief, hops).why.why_not!;
}

const freezer = SEED_BRIEFS.find((s) => s.id === 'near-empty-freezer')!.brief;

describe('why not', () => {
  it('tells hops in the blend, hops left out and hops not offered', () => {
    const brief: Brief = { ...freezer, limits: { ...freezer.limits, ban: ['Nelson Sauvin'] } };
    const verdicts = reasonsFor(brief, ['Mosaic', 'Nelson Sauvin', 'Simcoe']);
    expect(verdicts.map((v) => v.verdict)).toEqual(['in_blend', 'left_out', 'left_out']);
    expect(verdicts[1]!.reason).toContain('ban');
  });

  it('gives the best blend that holds the hop, never better than the best of all', () => {
    for (const reason of reasonsFor(freezer, ['Willamette', 'Nelson Sauvin'])) {
      expect(reason.verdict).toBe('dearer');
      const { extra, additions, objective, lower_bound } = reason.with_it!;
      expect(extra).toBeGreaterThanOrEqual(-1e-9);
      expect(lower_bound).toBeLessThanOrEqual(objective + 1e-9);
      expect(additions.some((a) => a.hop === reason.hop && a.grams >= 5)).toBe(true);
      const required = { ...freezer.limits, require: [reason.hop] };
      const own = asked({ ...freezer, limits: required }, []);
      expect(own.blends[0]!.totals.cost).toBeCloseTo(objective, 1);
    }
  });

  it('says so where no blend can hold it', () => {
    // Dry hops of so weak a hop alone do not come to the bitterness the brief asks for.
    const own = { ...freezer.limits, ibu_at_least: 0 };
    const limits = { ...own, hops_at_most: 1, require: ['Cascade'] };
    const brief: Brief = { ...freezer, target: { citrus: { at_least: 1.5 } }, limits };
    const [reason] = reasonsFor(brief, ['Galaxy']);
    expect(reason!.verdict).toBe('impossible');
    expect(reason!.reason).toContain('hops_at_most');
  });

  // A lot whose oil, thiols or price is better by the factor pays where it stands; by a little less, not.
  it('names the change by which the hop begins to pay', () => {
    let seen = 0;
    for (let seed = 900; seed < 915; seed += 1) {
      const brief = randomBrief(seed, {
        hops: 6,
        forms: 1,
        stages: ['hot_steep', 'dry_hop'],
        wishes: 3,
        beerL: 20,
        minimise: 'cost',
      });
      const answer = asked(brief, []);
      if (answer.status === 'closest') continue;
      const used = new Set(answer.blends[0]!.additions.map((a) => a.hop));
      const settled = settledOf(model, brief, answer.blends[0]!.additions);
      if (!settled) continue;
      const lots = brief.candidates as Candidate[];
      const other = lots.find((l) => !used.has(l.hop))!;
      const [reason] = reasonsFor(brief, [other.hop]);
      for (const { lever, factor, stage } of reason!.levers) {
        if (factor === null || factor > 8) continue;
        const costs = (times: number): number => {
          const analysis = { ...other.analysis! };
          if (lever === 'oil') analysis.total_oil_ml_per_100g! *= times;
          if (lever === 'thiols') {
            for (const id of ['sh3', 'sha3', 'msp4', 's3mp4'] as const) {
              analysis[`${id}_ug_per_kg`]! *= times;
            }
            analysis.g_sh3_mg_per_kg! *= times;
            if (analysis.cys_sh3_mg_per_kg !== undefined) analysis.cys_sh3_mg_per_kg *= times;
          }
          const price_per_kg = other.price_per_kg! * (lever === 'price' ? times : 1);
          const changed = lots.map((l) => (l === other ? { ...l, analysis, price_per_kg } : l));
          const problem = problemOf(model, { ...brief, candidates: changed });
          if (!problem.ok) throw new Error('no problem');
          const { value } = problem;
          const lot = lots.indexOf(other);
          const column = value.columns.findIndex((c) => c.lot === lot && c.stage === stage);
          const wider = fixedSupport(value, [...settled.chosen, column], 0);
          // A little of it: a lot of it may pay at another load, which no price can tell.
          const columns = wider.columns.map((c, j) =>
            j === settled.chosen.length ? { ...c, most: LITTLE_G_PER_L } : c,
          );
          const little = { ...wider, columns };
          return finished(settling(little))?.objective ?? NaN;
        };
        const better = lever === 'price' ? 0.9 : 1.1;
        const without = settled.at.objective;
        const name = `${lever}, seed ${seed}`;
        const [well, badly] = [costs(factor * better), costs(factor / better)];
        // Where the little of it has no optimum sharp enough to compare.
        if (Number.isNaN(well + badly)) continue;
        expect(well, name).toBeLessThan(without * (1 - 1e-7));
        expect(badly, name).toBeGreaterThan(without * (1 - 1e-9));
        seen += 1;
      }
    }
    expect(seen).toBeGreaterThanOrEqual(8);
  });
});
