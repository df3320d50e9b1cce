// Seasons with a batch that is to hold in a share of lots: it does, by the engine in draws of its own, takes no
// more than there is, and costs no less than the proven bound; where the stock cannot do it, that is said.
import { describe, expect, it } from 'vitest';
import { numberPaths, patternsOf, withProvenance } from '#shared/evidence/provenance.ts';
import type { SeasonAnswer } from '#shared/answers/season.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import type { Season } from '#shared/schemas/season.ts';
import { designFor } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { chancing } from '#optimize/problem/chance.ts';
import { planning } from '#optimize/season/planning.ts';
import { statingSeason } from '#optimize/season/season-problem.ts';
import { countedTime } from '../support/counted-time.ts';
import { HOT_SEASON, randomSeason, type SeasonShape } from '../support/seasons.ts';

const LOOKS = 600;
const SHAPE: SeasonShape = { ...HOT_SEASON, grams: [30, 120] };
const SHARE = 0.6;
/** Fresh draws may hold in fewer than those chosen by: three standard errors of 500 draws. */
const CHANCE_ROOM = 3 * Math.sqrt((SHARE * (1 - SHARE)) / 500);

/** The season with its first batch asked to hold in a share of lots. */
function asking(season: Season, share: number): Season {
  const [first, ...others] = season.batches;
  const limits = { ...first!.brief.limits, holds_in_lots_at_least: share };
  return { ...season, batches: [{ ...first!, brief: { ...first!.brief, limits } }, ...others] };
}

function planned(season: Season): SeasonAnswer {
  const found = finished(planning(model, season, { timeLimitMs: LOOKS, now: countedTime() }));
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  return found.value;
}

describe('a batch that is to hold in a share of lots', () => {
  it.each([1, 2])('does so in season %i, within the stock and the bound', (seed) => {
    const season = asking(randomSeason(seed, SHAPE), SHARE);
    const plain = planned(randomSeason(seed, SHAPE));
    const found = planned(season);
    const [first, second] = found.batches;
    expect(first!.hold!.reached).toBe(true);
    expect(first!.hold!.central_share).toBeLessThan(SHARE);
    expect(second!.hold).toBeUndefined();
    expect(found.batches.flatMap(({ misses }) => misses)).toEqual([]);
    expect(found.notes).toEqual([]);
    const { provenance, ...answer } = withProvenance('season', found);
    expect(numberPaths(answer).filter((at) => patternsOf(provenance, at).length !== 1)).toEqual([]);
    expect(found.objective).toBeGreaterThanOrEqual(plain.lower_bound - 1e-9);
    expect(found.lower_bound).toBeLessThanOrEqual(found.objective);
    expect(found.gap).toBeCloseTo(1 - found.lower_bound / found.objective, 9);
    (season.candidates as Candidate[]).forEach(({ grams_on_hand: there }, i) => {
      const used = found.lots.reduce((sum, l) => sum + (l.candidate === i ? l.grams : 0), 0);
      expect(used).toBeLessThanOrEqual(there! + 1e-6);
    });
    const stated = finished(statingSeason(model, season));
    if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
    const [block] = stated.value.blocks;
    const design = designFor(block!.model, block!.brief, first!.additions);
    if (!design.ok) throw new Error(JSON.stringify(design.problems));
    const { holds_in_lots: fresh } = finished(chancing(block!.model, block!.brief, design.value));
    expect(fresh).toBeGreaterThanOrEqual(SHARE - CHANCE_ROOM);
  });

  it('says so where nothing in the stock holds in so many', () => {
    const { status, notes, batches } = planned(asking(randomSeason(2, SHAPE), 1));
    expect(status).toBe('closest');
    expect(batches[0]!.hold!.reached).toBe(false);
    expect(notes.join()).toMatch(/holds in 100 % of its lots; this one holds in \d+ %/);
  });
});
