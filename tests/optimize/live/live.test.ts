// The blend that follows a dragged wish: as good as the exact one where all hops may be used, true to
// its wishes by the engine, the same however the finger came there, and moving little with little moves.
import { describe, expect, it } from 'vitest';
import { AXES, type AxisId } from '#shared/ids.ts';
import type { DesignAnswer } from '#shared/answers/answer.ts';
import type { Brief, Target } from '#shared/schemas/brief.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { design } from '#optimize/questions/design.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { LiveBrief, NewestLiveBrief, type LiveBlend } from '#optimize/live/live.ts';
import { objectiveOf, randomBrief } from '../support/instances.ts';

function liveOf(brief: Brief): LiveBrief {
  const live = finished(LiveBrief.of(model, brief));
  if (!live.ok) throw new Error(JSON.stringify(live.problems));
  return live.value;
}
function blendFor(live: LiveBrief, target: Target, hops: readonly string[]): LiveBlend {
  const blend = finished(live.blendFor(target, hops));
  if (!blend.ok) throw new Error(JSON.stringify(blend.problems));
  return blend.value;
}
const known = new Map<Brief, DesignAnswer>();
/** The exact answer to a brief, worked out once. */
function exact(brief: Brief): DesignAnswer {
  const found = known.get(brief);
  if (found) return found;
  const outcome = design(model, brief, { timeLimitMs: 60_000 });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  known.set(brief, outcome.value);
  return outcome.value;
}
const hopsOf = (blend: { additions: readonly { hop: string }[] }) => [
  ...new Set(blend.additions.map((a) => a.hop)),
];
/** A wish with its handle at a value. */
function at(target: Target, axis: AxisId, value: number): Target {
  const wish = target[axis];
  if (wish?.aim !== undefined) return { ...target, [axis]: { ...wish, aim: value } };
  if (wish?.at_most !== undefined) return { ...target, [axis]: { at_most: value } };
  return { ...target, [axis]: { at_least: value } };
}

const shape = {
  hops: 14,
  forms: 2,
  stages: ['mash', 'hot_steep', 'dry_hop'],
  wishes: 4,
  beerL: 30,
  hopsAtMost: 4,
  smallest: 5,
  step: 1,
} as const;
const BRIEFS = [
  ...SEED_BRIEFS.map((s) => s.brief),
  ...[0, 1, 2, 3, 4, 5].map((i) =>
    randomBrief(7100 + i, {
      ...shape,
      ibu: i % 2 === 0,
      stock: i % 3 === 0,
      minimise: (['weight', 'cost', 'leaf'] as const)[i % 3]!,
    }),
  ),
];

describe('the blend for dragged wishes', () => {
  it.each(BRIEFS.map((b) => [b.name, b] as const))(
    'with all hops is no worse than the exact one: %s',
    (_, brief) => {
      const answer = exact(brief);
      const { miss, objective } = finished(liveOf(brief).freely(brief.target))!;
      if (answer.status === 'closest') {
        expect(miss).toBeGreaterThan(0);
        expect(miss).toBeLessThanOrEqual(answer.blends[0]!.worst_miss + 0.002);
      } else {
        expect(miss).toBe(0);
        // Its load is one of a grid: where no smaller one does, it is up to a step of the grid too large.
        expect(objective).toBeLessThanOrEqual(objectiveOf(brief, answer.blends[0]!) * 1.01);
      }
    },
  );

  it.each(BRIEFS.map((b) => [b.name, b] as const))(
    'meets what it says it meets, by the engine: %s',
    (_, brief) => {
      const live = liveOf(brief);
      const hops = hopsOf(exact(brief).blends[0]!);
      for (const axis of AXES) {
        for (const value of [0.5, 2, 3.5]) {
          const target = at(brief.target, axis, value);
          const blend = blendFor(live, target, hops);
          const { name, batch, stages } = brief;
          const designed = designOf(model, {
            name,
            batch,
            stages,
            additions: [...blend.additions],
          });
          if (!designed.ok) throw new Error(JSON.stringify(designed.problems));
          const point = predictPoint(model, designed.value);
          AXES.forEach((a, i) => {
            expect(point.signals[i]).toBeCloseTo(blend.axes[a].signal, 9);
            const { aim, within = 0, at_least, at_most } = target[a] ?? {};
            if (!blend.meets) return;
            const got = blend.axes[a].intensity;
            expect(got).toBeGreaterThan(Math.max(at_least ?? 0, (aim ?? 0) - within) - 1e-4);
            expect(got).toBeLessThan(Math.min(at_most ?? 99, (aim ?? 99) + within) + 1e-4);
          });
          expect(blend.meets).toBe(blend.misses.length === 0);
          if (blend.same_hops) {
            for (const hop of hopsOf(blend)) expect(hops).toContain(hop);
          }
          if (blend.hops_over > 0) {
            const most = brief.limits.hops_at_most!;
            expect(hopsOf(blend).length).toBe(most + blend.hops_over);
          }
        }
      }
    },
  );

  it.each([0, 3, 4, 5, 8].map((i) => [BRIEFS[i]!.name, BRIEFS[i]!] as const))(
    'is the same however the finger came there: %s',
    (_, brief) => {
      const hops = hopsOf(exact(brief).blends[0]!);
      const worn = liveOf(brief);
      for (const axis of AXES) {
        for (let i = 0; i <= 10; i += 1)
          finished(worn.blendFor(at(brief.target, axis, i / 2), hops));
        const target = at(brief.target, axis, 2.5);
        const came = blendFor(worn, target, hops);
        const fresh = blendFor(liveOf(brief), target, hops);
        expect(came.same_hops).toBe(fresh.same_hops);
        expect(came.worst_miss).toBeCloseTo(fresh.worst_miss, 6);
        const [a, b] = [came.totals.hop_g, fresh.totals.hop_g];
        expect(Math.abs(a - b)).toBeLessThanOrEqual(1e-5 * b + 1e-5);
      }
    },
  );

  it('moves little with small moves while it keeps to the same hops', () => {
    const { brief } = SEED_BRIEFS[0]!;
    const hops = hopsOf(exact(brief).blends[0]!);
    const live = liveOf(brief);
    let compared = 0;
    for (const axis of ['tropical', 'citrus', 'resin', 'berry'] as const) {
      let before: LiveBlend | null = null;
      for (let value = 1; value < 4.5; value += 0.02) {
        const blend = blendFor(live, at(brief.target, axis, value), hops);
        if (before && before.same_hops && blend.same_hops && before.meets && blend.meets) {
          compared += 1;
          const change = Math.abs(blend.totals.hop_g - before.totals.hop_g);
          // A fiftieth of an intensity is up to 5 % of the signal of a wish of 1, and more in grams
          // where stronger hops must make up for weak ones, most of all at the end of what they can do.
          expect(change).toBeLessThanOrEqual(0.15 * before.totals.hop_g);
          for (const a of AXES) {
            expect(Math.abs(blend.axes[a].intensity - before.axes[a].intensity)).toBeLessThan(0.25);
          }
        }
        before = blend;
      }
    }
    expect(compared).toBeGreaterThan(200);
  });

  it('refuses what the design refuses, and names the hard limits that clash', () => {
    const { brief } = SEED_BRIEFS[0]!;
    const liveBrief = new NewestLiveBrief(model);
    const unknown: Brief = { ...brief, candidates: [{ hop: 'No such hop', form: 'pellet_90' }] };
    expect(finished(liveBrief.blendFor(unknown, [])).ok).toBe(false);
    const hop = exact(brief).blends[0]!.additions[0]!.hop;
    const clash: Brief = {
      ...brief,
      limits: {
        ...brief.limits,
        require: [hop],
        stage_at_most_g_per_l: { mash: 0.26, hot_steep: 0.26, dry_hop: 0.26 },
        leaf_g_per_l_after_mash_at_most: 0,
        smallest_addition_g: 5,
      },
    };
    expect(finished(liveBrief.blendFor(clash, [])).ok).toBe(exactOrNot(clash));
    expect(finished(liveBrief.blendFor(brief, [])).ok).toBe(true);
  });
});

function exactOrNot(brief: Brief): boolean {
  return design(model, brief, { timeLimitMs: 60_000 }).ok;
}
