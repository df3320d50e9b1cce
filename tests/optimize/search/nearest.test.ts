// The closest match as what is asked for: its distance against an independent mixed-integer program
// (oracle.ts), the engine's own figures, the limits it keeps, and the grams it takes.
import { describe, expect, it } from 'vitest';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { AXES } from '#shared/ids.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { model } from '#engine/tables/model.ts';
import { answered } from '#optimize/questions/answering.ts';
import { design } from '#optimize/questions/design.ts';
import { PROVEN_SLACK } from '#optimize/search/proof.ts';
import { randomBrief, type Shape } from '../support/instances.ts';
import { readingOf } from '../support/oracle-reading.ts';
import { anyBelow } from '../support/oracle-proof.ts';
import { bestOverLoads } from '../support/oracle.ts';

const BAND = { samples: 20, seed: 1 };
const BEER_L = 20;
/** Rounding of the program's own tolerances, in intensity. */
const ROUNDING = 1e-4;

function answer(brief: Brief): DesignAnswer {
  const outcome = design(model, brief, { band: BAND });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

/** A drawn brief that asks for the closest, every wish an aim or an edge near what can be had. */
function closestBrief(seed: number, shape: Partial<Shape>): Brief {
  return {
    ...randomBrief(seed, {
      hops: 3 + (seed % 2),
      forms: 1,
      stages: ['mash', 'hot_steep'],
      wishes: 5 + (seed % 2),
      beerL: BEER_L,
      step: 15,
      ...(seed % 2 ? { smallest: 8, hopsAtMost: 2 } : {}),
      ibu: seed % 3 === 0,
      ...shape,
    }),
    minimise: 'closest',
  };
}

/** Largest distance from the aims by the intensities of a blend, counted here. */
function distanceOf({ target }: Brief, axes: DesignAnswer['blends'][0]['axes']): number {
  return AXES.reduce((worst, axis) => {
    const { aim, at_least: least, at_most: most } = target[axis] ?? {};
    const { intensity } = axes[axis];
    const off = [
      aim === undefined ? 0 : Math.abs(intensity - aim),
      least === undefined ? 0 : least - intensity,
      most === undefined ? 0 : intensity - most,
    ];
    return Math.max(worst, ...off);
  }, 0);
}

describe('the closest match', () => {
  it('is as close as a program of its own finds, and as light', () => {
    let apart = 0;
    for (let seed = 900; seed < 920; seed += 1) {
      const hot = seed % 4 < 2;
      const brief = closestBrief(seed, hot ? {} : { stages: ['hot_steep', 'dry_hop'], step: 20 });
      const { status, lower_bound, blends } = answer(brief);
      const reading = readingOf(brief);
      const best = (slack: number) =>
        bestOverLoads(reading, { slack }).blend?.objective ?? Infinity;
      const [blend] = blends;
      if (status === 'closest') {
        // No blend keeps the bitterness window at all.
        expect(anyBelow(reading, Infinity, { slack: 6 })).toBeNull();
        continue;
      }
      expect(status).toBe('optimal');
      const distance = blend!.distance!;
      expect(distance).toBeCloseTo(distanceOf(brief, blend!.axes), 9);
      expect(lower_bound).toBeLessThanOrEqual(distance + 1e-9);
      expect(distance - lower_bound).toBeLessThanOrEqual(PROVEN_SLACK + 1e-9);
      const lightest = best(distance + ROUNDING);
      expect(blend!.totals.hop_g).toBeGreaterThanOrEqual(lightest - 1e-6);
      const step = brief.limits.weigh_step_g!;
      expect(blend!.totals.hop_g).toBeLessThanOrEqual(best(distance) + step + 1e-6);
      if (lower_bound < 2 * ROUNDING) continue;
      apart += 1;
      expect(anyBelow(reading, Infinity, { slack: lower_bound - ROUNDING })).toBeNull();
    }
    expect(apart).toBeGreaterThan(3);
  });

  it('keeps the bitterness window where any blend does, and says so where none does', () => {
    const brief = closestBrief(903, { ibu: false, stages: ['hot_steep', 'dry_hop'] });
    const limits = (ibu_at_most: number, ibu_at_least?: number) => ({
      ...brief.limits,
      ibu_at_most,
      ...(ibu_at_least === undefined ? {} : { ibu_at_least }),
    });
    const free = answer(brief);
    const ibu = free.blends[0]!.totals.ibu;
    const held = answer({ ...brief, limits: limits(ibu / 2) });
    expect(held.status).toBe('optimal');
    expect(held.blends[0]!.totals.ibu).toBeLessThanOrEqual((ibu / 2) * (1 + 1e-6));
    expect(held.lower_bound).toBeGreaterThanOrEqual(free.lower_bound - PROVEN_SLACK);
    const none = answer({
      ...brief,
      limits: { ...limits(999, 900), stage_at_most_g_per_l: { hot_steep: 1, dry_hop: 1 } },
    });
    expect(none.status).toBe('closest');
    expect(none.blends[0]!.misses.map((m) => m.wish)).toContain('limits.ibu_at_least');
  });

  it('counts an aim from the aim itself, whatever is said of how far off it may be', () => {
    const brief = closestBrief(907, { hops: 6, step: 1 });
    expect(Object.values(brief.target).some((wish) => wish.aim !== undefined)).toBe(true);
    const widened = (within: number): Brief => ({
      ...brief,
      minimise: 'closest',
      target: Object.fromEntries(
        Object.entries(brief.target).map(([axis, wish]) => [
          axis,
          wish.aim === undefined ? wish : { ...wish, within },
        ]),
      ),
    });
    const [narrow, wide] = [answer(widened(0.05)), answer(widened(2))];
    expect(narrow.blends[0]!.additions).toEqual(wide.blends[0]!.additions);
    expect(narrow.blends[0]!.distance).toBe(wide.blends[0]!.distance);
    // The lightest within the windows is further off the aims.
    const lightest = answer({ ...widened(0.4), minimise: 'weight' });
    const distance = distanceOf(brief, lightest.blends[0]!.axes);
    expect(distance).toBeGreaterThanOrEqual(wide.lower_bound);
  });

  it('has further blends that leave out a hop, each with its own proof', () => {
    const brief = closestBrief(905, { hops: 6, smallest: 8, hopsAtMost: 2 });
    const outcome = design(model, brief, { band: BAND, alternatives: 3 });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const { blends } = outcome.value;
    expect(blends.length).toBe(3);
    const distances = blends.map((b) => b.distance!);
    for (const [i, { proof }] of blends.entries()) {
      expect(proof!.status).toBe('optimal');
      expect(proof!.lower_bound).toBeLessThanOrEqual(distances[i]! + 1e-9);
      if (i > 0) expect(distances[i]).toBeGreaterThanOrEqual(distances[i - 1]! - PROVEN_SLACK);
    }
  });

  // The lightest blend of all is nearer to faint aims than any with the bitterness asked for.
  it('has further blends inside a bitterness window that takes it off the aims', () => {
    const drawn = closestBrief(905, { hops: 4 });
    const brief: Brief = {
      ...drawn,
      target: { floral: { aim: 0.2 }, citrus: { aim: 0.2 }, resin: { aim: 0.2 } },
      limits: { ...drawn.limits, ibu_at_least: 25, ibu_at_most: 60 },
    };
    const outcome = design(model, brief, { band: BAND, alternatives: 2 });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const { blends } = outcome.value;
    const hopsOf = ({ additions }: (typeof blends)[0]) => [...new Set(additions.map((a) => a.hop))];
    const nearest = hopsOf(blends[0]!).map((hop) => {
      const limits = { ...brief.limits, ban: [hop] };
      return answer({ ...brief, limits }).blends[0]!;
    });
    const inside = nearest.filter((b) => b.misses.length === 0);
    expect(inside.length).toBeGreaterThan(0);
    expect(blends.length).toBe(2);
    for (const { totals } of blends) {
      expect(totals.ibu).toBeGreaterThanOrEqual(25 - 1e-6);
      expect(totals.ibu).toBeLessThanOrEqual(60 + 1e-6);
    }
    const least = Math.min(...inside.map((b) => b.distance!));
    expect(Math.abs(blends[1]!.distance! - least)).toBeLessThanOrEqual(PROVEN_SLACK + ROUNDING);
  });

  it('says that its wishes have no price, and seeks no clash', () => {
    const brief = closestBrief(905, {});
    const outcome = answered(model, brief, { band: BAND, explain: { whyNot: ['Invented 1'] } });
    if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
    const { why } = outcome.value;
    expect(why.prices).toBeUndefined();
    expect(why.clash).toBeUndefined();
    expect(why.notes.join(' ')).toContain('Minimise weight, cost or leaf');
  });
});
