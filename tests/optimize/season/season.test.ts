// Plans of drawn seasons: equal to the whole mixed-integer program, within every lot, and where there is none,
// a smallest clash that is one.
import { describe, expect, it } from 'vitest';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Season } from '#shared/schemas/season.ts';
import type { SeasonAnswer } from '#shared/answers/season.ts';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { planning } from '#optimize/season/planning.ts';
import { countedTime } from '../support/counted-time.ts';
import { seasonOracle } from '../support/oracle-season.ts';
import { HOT_SEASON, randomSeason, type SeasonShape } from '../support/seasons.ts';

/** Looks at the time, not milliseconds: the same end on any machine. */
const LOOKS = 600;

function planned(season: Season, looks = LOOKS): SeasonAnswer {
  const found = finished(planning(model, season, { timeLimitMs: looks, now: countedTime() }));
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  return found.value;
}

const SHAPES: readonly SeasonShape[] = [
  HOT_SEASON,
  { ...HOT_SEASON, sold: 0.4, packageG: 25, minimise: 'cost' },
  { ...HOT_SEASON, sold: 0.3, minimise: 'cost' },
];

describe('a plan', () => {
  it('brackets the optimum of the whole program, and is it where proven', () => {
    let proven = 0;
    for (const seed of [3, 6, 11, 15, 17, 21]) {
      const season = randomSeason(seed, SHAPES[seed % SHAPES.length]!);
      const best = seasonOracle(season);
      const found = planned(season);
      if (best === null) {
        expect(found.status).toBe('closest');
        continue;
      }
      expect(found.lower_bound, season.name).toBeLessThanOrEqual(best * (1 + 1e-6));
      expect(found.objective, season.name).toBeGreaterThanOrEqual(best * (1 - 1e-6));
      expect(found.batches.flatMap(({ misses }) => misses)).toEqual([]);
      if (found.status !== 'optimal') continue;
      proven += 1;
      const step = season.minimise === 'weight' ? 1 : 0.1;
      expect(found.objective - best, season.name).toBeLessThanOrEqual(1e-3 * best + step);
    }
    expect(proven).toBe(5);
  });

  it('brackets it where what is left of packages keeps a part of its price', () => {
    let dearer = 0;
    for (const [seed, leftover_value_pct] of [
      [4, 100],
      [7, 60],
      [10, 85],
    ] as const) {
      const plain = randomSeason(seed, SHAPES[1]!);
      const batches = plain.batches.map(({ brief, ...batch }) => ({
        ...batch,
        brief: { ...brief, batch: { ...brief.batch, leftover_value_pct } },
      }));
      const season = { ...plain, batches };
      const best = seasonOracle(season)!;
      const found = planned(season);
      expect(found.lower_bound, season.name).toBeLessThanOrEqual(best * (1 + 1e-6));
      expect(found.objective, season.name).toBeGreaterThanOrEqual(best * (1 - 1e-6));
      if (found.status === 'optimal') {
        expect(found.objective - best, season.name).toBeLessThanOrEqual(1e-3 * best + 0.1);
      }
      if (seasonOracle(plain)! > best * 1.001) dearer += 1;
    }
    expect(dearer).toBe(3);
  });

  it('is not made where batches value what is left of packages differently, and says so', () => {
    const season = randomSeason(4, SHAPES[1]!);
    const [first, ...rest] = season.batches;
    const batch = { ...first!.brief.batch, leftover_value_pct: 50 };
    const batches = [{ ...first!, brief: { ...first!.brief, batch } }, ...rest];
    const found = finished(planning(model, { ...season, batches }, { timeLimitMs: 10 }));
    expect(found.ok).toBe(false);
    if (!found.ok) {
      expect(found.problems[0]!.path).toBe('batches[1].brief.batch.leftover_value_pct');
    }
  });

  it('takes no more of a lot than there is, and each batch all that its blend needs', () => {
    const season = randomSeason(2, {
      ...HOT_SEASON,
      batches: 2,
      stages: ['hot_steep', 'dry_hop'],
      grams: [60, 200],
    });
    const { lots, batches, status } = planned(season, 400);
    expect(status).not.toBe('closest');
    (season.candidates as Candidate[]).forEach(({ grams_on_hand }, i) => {
      const used = lots.filter(({ candidate }) => candidate === i);
      const sum = used.reduce((all, { grams }) => all + grams, 0);
      expect(sum).toBeLessThanOrEqual(grams_on_hand! + 1e-6);
    });
    batches.forEach(({ hop_g }, b) => {
      const sum = lots.reduce((all, { batch, grams }) => all + (batch === b ? grams : 0), 0);
      expect(sum).toBeCloseTo(hop_g, 6);
    });
  });

  it('uses the oldest of lots that are the same first, and buys packages when they are needed', () => {
    const drawn = randomSeason(5, { ...HOT_SEASON, batches: 2, lots: 4 });
    const [lot] = drawn.candidates as Candidate[];
    const { grams_on_hand: _, ...content } = lot!;
    const [batch] = drawn.batches;
    const brief = { ...batch!.brief, target: { resin: { at_least: 0.5 } } };
    const alone = planned({ ...drawn, candidates: [content], batches: [{ ...batch!, brief }] });
    const need = Number(alone.objective.toPrecision(10));
    const candidates: Candidate[] = [
      { ...content, grams_on_hand: need, harvest_year: 2025 },
      { ...content, grams_on_hand: need / 2, harvest_year: 2023 },
      { ...content, package_g: 10 },
    ];
    const days = ['2026-03-01', '2026-02-01', '2026-04-01'];
    const batches = days.map((brew_on) => ({ brew_on, brief }));
    const { lots, buy } = planned({ ...drawn, candidates, batches });
    const of = (candidate: number) => lots.filter((share) => share.candidate === candidate);
    expect(of(1)).toEqual([{ candidate: 1, batch: 1, grams: need / 2 }]);
    expect(of(0).map(({ batch: b }) => b)).toEqual([1, 0]);
    expect(buy.map(({ by }) => by)).toEqual(['2026-03-01', '2026-04-01']);
    const packages = buy.reduce((sum, b) => sum + b.packages!, 0);
    expect(packages).toBe(Math.ceil((1.5 * need) / 10));
  });

  it('counts the age of each brew day', () => {
    const drawn = randomSeason(5, { ...HOT_SEASON, batches: 1, lots: 1 });
    const [lot] = drawn.candidates as Candidate[];
    const brief = { ...drawn.batches[0]!.brief, target: { resin: { at_least: 0.6 } } };
    const storage = { months: 2, temp_c: 20, packed: 'opened' as const };
    const season = (brew_on: string): Season => ({
      ...drawn,
      as_of: '2026-01-01',
      candidates: [{ ...lot!, grams_on_hand: 500, storage }],
      batches: [{ brew_on, brief }],
    });
    const [soon, late] = [planned(season('2026-01-01')), planned(season('2026-07-01'))];
    expect(late.objective).toBeGreaterThan(soon.objective);
    const kept = late.batches[0]!.additions[0]!.storage!;
    expect(kept.months).toBeCloseTo(2 + 181 / (365.25 / 12), 9);
  });
});

describe('a season without a plan', () => {
  it('names batches and lots that clash, none of which could be left out', () => {
    const drawn = randomSeason(5, { ...HOT_SEASON, batches: 1, lots: 3 });
    const [first, second, third] = drawn.candidates as Candidate[];
    const open = { ...drawn.batches[0]!.brief, target: { resin: { at_least: 0.6 } } };
    const needs = (hop: string) => ({
      ...open,
      limits: { ...open.limits, hops_at_most: 1, require: [hop] },
    });
    const briefs = [needs(first!.hop), needs(second!.hop), needs(first!.hop), needs(third!.hop)];
    const candidates = [first!, second!, third!].map((lot) => ({ ...lot, grams_on_hand: 500 }));
    const batches = briefs.map((brief, b) => ({ brew_on: `2026-01-0${b + 1}`, brief }));
    const season: Season = { ...drawn, candidates, batches };
    const need = planned(season).batches[0]!.hop_g;
    candidates[0] = { ...first!, grams_on_hand: Math.round(1.5 * need) };
    const found = planned(season);
    expect(found.status).toBe('closest');
    expect(found.clash).toEqual({ batches: [0, 2], candidates: [0], smallest: true });
    expect(found.lacking).toEqual([{ candidate: 0, grams: 2 * need - Math.round(1.5 * need) }]);
  });

  it('says which limit a batch clashes with on its own', () => {
    const drawn = randomSeason(5, { ...HOT_SEASON, batches: 1, lots: 3 });
    const brief = { ...drawn.batches[0]!.brief };
    brief.limits = { ...brief.limits, ibu_at_least: 900 };
    const asked = { ...drawn, batches: [{ ...drawn.batches[0]!, brief }] };
    const found = planned(asked);
    expect(found.status).toBe('closest');
    expect(found.notes.join()).toMatch(/misses .*ibu_at_least/);
  });
});
