// The next batch: every wish that the same hops can meet is met, by the least change in grams that plain
// trial of every pair of doses finds; other hops come only where these can't.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { model } from '#engine/tables/model.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { foreseeing } from '#optimize/questions/by-hand.ts';
import { nextBatch } from '#optimize/questions/next-batch.ts';

const BREWED: Addition[] = [
  { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 60 },
  { hop: 'Saaz', form: 'pellet_90', stage: 'hot_steep', grams: 40 },
];
const brief = (target: Brief['target'], limits: Partial<Brief['limits']> = {}): Brief => ({
  name: 'next',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 },
  stages: {
    hot_steep: { temp_c: 80, minutes: 20, closed: false },
    dry_hop: { temp_c: 16, hours: 96, mixed: false, live_yeast: false },
  },
  target,
  limits: { ban: [], require: [], weigh_step_g: 1, ...limits },
  minimise: 'weight',
  candidates: 'table',
});

function pointOf(asked: Brief, additions: readonly Addition[]) {
  const step = foreseeing(model, asked, additions).next();
  if (step.done) throw new Error(JSON.stringify(step.value));
  return step.value;
}
function next(asked: Brief, brewed = BREWED) {
  const found = finished(nextBatch(model, asked, brewed));
  if (!found.ok) throw new Error(JSON.stringify(found.problems));
  return found.value;
}
const AS_BREWED = pointOf(brief({}), BREWED).axes;

describe('the next batch', () => {
  it('is the same where every wish is met', () => {
    const found = next(brief({ citrus: { at_least: 0 } }));
    expect([found.changed, found.moved]).toEqual([null, []]);
  });

  it('changes as few grams as trial of every pair of doses', () => {
    for (const [up, down] of [
      [0.3, 0],
      [-0.4, 0.1],
      [0.15, 0.2],
    ]) {
      const limits = { stage_at_most_g_per_l: { hot_steep: 8 } };
      const target = {
        citrus: { aim: AS_BREWED.citrus.intensity + up!, within: 0.1 },
        floral: { at_least: AS_BREWED.floral.intensity + down! },
      };
      const asked = brief(target, limits);
      const { changed, after, moved } = next(asked);
      let least = Infinity;
      for (let a = 0; a <= 160; a += 4) {
        for (let b = 0; b <= 160; b += 4) {
          const doses = [a, b];
          const change = Math.abs(a - 60) + Math.abs(b - 40);
          if (change >= least) continue;
          const trial = BREWED.map((row, i) => ({ ...row, grams: doses[i]! }));
          if (pointOf(asked, trial).misses.length === 0) least = change;
        }
      }
      if (least === Infinity) {
        expect(changed).not.toBe('doses');
        continue;
      }
      expect([changed, after.misses]).toEqual(['doses', []]);
      const change = moved.reduce((sum, { from, to }) => sum + Math.abs(to - from), 0);
      // Within its wishes by a little, and in whole grams.
      expect(change).toBeLessThanOrEqual(least * 1.15 + 3);
      for (const { helps } of moved.slice(0, 1)) expect(helps).not.toBeNull();
    }
  });

  it('takes other hops where these cannot meet the wishes, and says what each helps', () => {
    const resin = AS_BREWED.resin.intensity;
    const asked = brief({
      resin: { at_least: resin + 1.5 },
      citrus: { at_most: AS_BREWED.citrus.intensity },
    });
    const { changed, after, moved } = next(asked);
    expect(changed).toBe('hops');
    expect(after.misses).toEqual([]);
    expect(moved.some(({ addition, helps }) => helps?.axis === 'resin' && addition.grams > 0)).toBe(
      true,
    );
  });

  it('keeps to the count of hops', () => {
    const target = { resin: { at_least: AS_BREWED.resin.intensity + 1 }, berry: { at_least: 2.5 } };
    const many = next(brief(target));
    const few = next(brief(target, { hops_at_most: 3 }));
    const hopsIn = ({ after }: typeof few) => new Set(after.additions.map(({ hop }) => hop)).size;
    expect(hopsIn(many)).toBeGreaterThan(2);
    expect(hopsIn(few)).toBeLessThanOrEqual(3);
  });

  it('comes as close as it can where no hop meets the wishes', () => {
    const asked = brief({ citrus: { at_least: 9.9 }, grassy: { at_most: 0.1 } });
    const { before, after } = next(asked);
    expect(after.worst_miss).toBeLessThan(before.worst_miss);
  });

  it('is the same, with what it misses, where no change comes nearer', () => {
    const found = next(
      {
        ...brief(
          { citrus: { at_least: 9.9 } },
          { stage_at_most_g_per_l: { dry_hop: 3, hot_steep: 0 } },
        ),
        candidates: [{ hop: 'Citra', form: 'pellet_90' }],
      },
      [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 60 }],
    );
    expect([found.changed, found.moved]).toEqual([null, []]);
    expect(found.before.misses.map(({ wish }) => wish)).toEqual(['target.citrus']);
  });
});
