// Replacing a hop: what is kept stays, the original is its own best replacement, closeness is as good
// as brute force over doses, and every blend is what the engine says of it.
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import type { Replacement, SwapAnswer } from '#shared/answers/comparison.ts';
import { swapSchema } from '#shared/schemas/asked.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import { designOf } from '#engine/predict/design.ts';
import { defaultValues, model } from '#engine/tables/model.ts';
import { predict } from '#engine/answer/answer.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { ibuWindow } from '#optimize/problem/ibu-window.ts';
import { noticeableStep, profileOf, REACHED } from '#optimize/problem/profile.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { ranked } from '#optimize/questions/ranking.ts';
import { swapping } from '#optimize/questions/swap.ts';
import { BAND, HAZY, PALE, valueOf } from '../support/schedules.ts';

const STEPS = { weigh_step_g: 1, smallest_addition_g: 5 };
const lots = (...hops: string[]) => hops.map((hop) => ({ hop, form: 'pellet_90' as const }));

function swapOf(schedule: Schedule, rest: object) {
  return swapSchema.parse({ ...schedule, limits: STEPS, ...rest });
}

function swapped(schedule: Schedule, rest: object): SwapAnswer {
  return valueOf(swapping(model, swapOf(schedule, rest), { band: BAND }));
}

/** Largest difference as the swap counts it, by the engine alone. */
function differenceOf(schedule: Schedule, additions: Schedule['additions']): number {
  const before = profileOf(model, schedule);
  const after = designOf(model, { ...schedule, additions });
  if (!before.ok || !after.ok) throw new Error('a schedule of this test');
  const point = predictPoint(model, after.value);
  const values = defaultValues(model);
  const axes = AXES.map((axis, i) => {
    const from = before.value.intensities[axis];
    const to = intensityOf(point.signals[i]!, values);
    return from >= REACHED ? Math.abs(to - from) : Math.max(0, to - REACHED);
  });
  const { atLeast, atMost } = ibuWindow(before.value);
  const { ibu } = point.totals;
  return Math.max(...axes, (ibu - atMost) / 5, (atLeast - ibu) / 5);
}

function keptOf(schedule: Schedule, hop: string) {
  return schedule.additions.filter((a) => a.hop !== hop);
}

describe.each([
  ['pale', PALE],
  ['hazy', HAZY],
])('a swap in the %s schedule', (_, schedule) => {
  const answer = swapped(schedule, {
    replace: 'citra',
    candidates: lots('Citra', 'Mosaic', 'Simcoe', 'Galaxy', 'Cascade', 'Motueka'),
  });

  it('keeps every other addition to the gram', () => {
    expect(answer.replaced.map((a) => a.hop)).toEqual(
      schedule.additions.filter((a) => a.hop === 'Citra').map((a) => a.hop),
    );
    for (const { additions } of answer.blends) {
      for (const kept of keptOf(schedule, 'Citra')) expect(additions).toContainEqual(kept);
    }
  });

  it('gives the original back when it is on offer, with no difference to speak of', () => {
    const [first] = answer.blends;
    expect(first!.hops).toEqual(['Citra']);
    expect(first!.unnoticed).toBe(true);
    expect(first!.difference).toBeLessThan(0.02);
    expect(answer.tried[0]!.hop).toBe('Citra');
  });

  it('says of each blend what the engine says', () => {
    for (const blend of answer.blends) {
      const design = designOf(model, { ...schedule, additions: [...blend.additions] });
      if (!design.ok) throw new Error('a blend of its own');
      const { axes, totals } = predict(model, design.value, BAND);
      expect(blend.totals).toEqual(totals);
      for (const axis of AXES) {
        expect(blend.axes[axis].intensity).toBeCloseTo(axes[axis].intensity, 9);
        const { from, to, change } = blend.changes[axis];
        expect(from).toBeCloseTo(answer.original.axes[axis], 9);
        expect(to).toBeCloseTo(axes[axis].intensity, 9);
        expect(change).toBeCloseTo(to - from, 9);
      }
      const difference = differenceOf(schedule, [...blend.additions]);
      expect(blend.difference).toBeCloseTo(difference, 6);
      expect(blend.proof.lower_bound).toBeLessThanOrEqual(difference + 1e-6);
      expect(blend.totals_change.hop_g).toBeCloseTo(totals.hop_g - answer.original.totals.hop_g, 9);
    }
  });

  it('ranks those nobody can tell apart by lines, then all by difference', () => {
    const before = profileOf(model, schedule);
    if (!before.ok) throw new Error('a schedule of this test');
    const unnoticed = noticeableStep(model, before.value);
    const ranking = { removed: answer.replaced, unnoticed, byCost: true };
    expect(ranked(answer.blends, ranking)).toEqual(answer.blends);
    const first = answer.blends.findIndex((b) => !b.unnoticed);
    expect(answer.blends.slice(first).every((b) => !b.unnoticed)).toBe(true);
  });

  it('has tried every hop, with a bound below what it found', () => {
    expect(answer.tried.length).toBe(6);
    for (const { at_least, at_most } of answer.tried) {
      expect(at_least).toBeLessThanOrEqual(at_most);
      expect(at_most - at_least).toBeLessThan(0.05);
    }
  });
});

describe('a swap without a replacement', () => {
  it('proves nothing where time ran out before anything was tried', () => {
    const swap = swapOf(PALE, { replace: 'Citra', candidates: lots('Citra', 'Mosaic') });
    const { blends, status, lower_bound, gap, why } = valueOf(
      swapping(model, swap, { band: BAND, timeLimitMs: 1e-6 }),
    );
    expect(blends).toEqual([]);
    expect({ status, lower_bound, gap }).toEqual({ status: 'closest', lower_bound: 0, gap: 1 });
    expect(why.notes.join('\n')).toContain('Time ran out before 2 hops were tried alone');
    expect(why.notes.join('\n')).not.toMatch(/No candidate comes|No two hops/);
  });

  it('says so where every candidate was tried, with what is proven', () => {
    const smallest = { weigh_step_g: 1, smallest_addition_g: 1500 };
    const { blends, lower_bound, why } = swapped(PALE, {
      replace: 'Citra',
      candidates: lots('Mosaic'),
      limits: smallest,
    });
    expect(blends).toEqual([]);
    const without = differenceOf(PALE, keptOf(PALE, 'Citra'));
    expect(lower_bound).toBeGreaterThan(0);
    expect(lower_bound).toBeLessThanOrEqual(without);
    expect(why.notes).toContain('No candidate comes closer than leaving the hop out');
  });
});

describe('the closeness of a single hop', () => {
  const schedule: Schedule = {
    ...PALE,
    additions: [
      ...PALE.additions,
      { hop: 'Citra', form: 'pellet_90', stage: 'hot_steep', grams: 30, price_per_kg: 44 },
    ],
  };

  it.each(['Simcoe', 'Mosaic', 'Galaxy'])('%s is as close as brute force finds', (hop) => {
    const { blends } = swapped(schedule, {
      replace: 'Citra',
      candidates: lots(hop),
      limits: { weigh_step_g: 5, smallest_addition_g: 5, hops_at_most: 1 },
    });
    const kept = keptOf(schedule, 'Citra');
    let best = Infinity;
    for (let hot = 0; hot <= 200; hot += 5) {
      for (let dry = 0; dry <= 200; dry += 5) {
        const additions = [
          ...kept,
          { hop, form: 'pellet_90' as const, stage: 'hot_steep' as const, grams: hot },
          { hop, form: 'pellet_90' as const, stage: 'dry_hop' as const, grams: dry },
        ];
        best = Math.min(best, differenceOf(schedule, additions));
      }
    }
    const [first] = blends;
    expect(first!.difference).toBeLessThan(best + 0.01);
    expect(first!.proof.lower_bound).toBeLessThanOrEqual(best + 1e-6);
  });
});

describe('two hops in the place of one', () => {
  const HOPS = ['Callista', 'Summit', 'Nelson Sauvin'];
  const asked = (rest: object) =>
    swapped(PALE, {
      replace: 'Citra',
      candidates: lots(...HOPS),
      limits: { weigh_step_g: 5, smallest_addition_g: 5, ...rest },
    });
  const of = (blends: readonly Replacement[], count: number) =>
    blends.filter((b) => b.hops.length === count);

  it('are shown on a line each where they come noticeably closer, as close as brute force', () => {
    const { blends } = asked({});
    const [single] = of(blends, 1);
    const pairs = of(blends, 2);
    expect(pairs.length).toBeGreaterThan(0);
    for (const { added, difference, hops } of pairs) {
      expect(added.map((a) => a.hop).sort()).toEqual([...hops].sort());
      expect(difference).toBeLessThan(single!.difference);
      let best = Infinity;
      for (let one = 5; one <= 200; one += 5) {
        for (let other = 5; other <= 200; other += 5) {
          const lines = hops.map((hop, i) => ({
            hop,
            form: 'pellet_90' as const,
            stage: 'dry_hop' as const,
            grams: i === 0 ? one : other,
          }));
          const additions = [...keptOf(PALE, 'Citra'), ...lines];
          best = Math.min(best, differenceOf(PALE, additions));
        }
      }
      expect(difference).toBeLessThan(best + 0.01);
    }
  });

  it('are not where one hop is all that may be used', () => {
    expect(of(asked({ hops_at_most: 1 }).blends, 2)).toEqual([]);
  });
});

describe('the hop that is gone at three stages', () => {
  const stages = { ...PALE.stages, second: PALE.stages.dry_hop! };
  const line = { hop: 'Citra', form: 'pellet_90' as const };
  const schedule: Schedule = {
    ...PALE,
    stages: { ...stages, second: { kind: 'dry_hop', ...stages.second } as never },
    additions: [
      ...PALE.additions,
      { ...line, stage: 'hot_steep', grams: 30 },
      { ...line, stage: 'second', grams: 40 },
    ],
  };

  it('is replaced on two of them', () => {
    const { blends, tried } = swapped(schedule, { replace: 'Citra', candidates: lots('Simcoe') });
    expect(blends[0]!.added.length).toBeLessThanOrEqual(2);
    expect(blends[0]!.difference).toBeGreaterThanOrEqual(tried[0]!.at_least - 1e-6);
  });
});

describe('a swap that cannot be', () => {
  it('requires no more hops than it has lines', () => {
    const require = ['Citra', 'Mosaic', 'Galaxy'];
    const candidates = lots(...require);
    const swap = swapOf(PALE, { replace: 'Simcoe', candidates, limits: { require } });
    const outcome = finished(swapping(model, swap));
    expect(outcome).toMatchObject({
      ok: false,
      problems: [{ path: 'limits.require', cure: 'Require at most 2' }],
    });
  });

  it('names a hop that is not in the schedule', () => {
    const outcome = finished(
      swapping(model, swapOf(PALE, { replace: 'Saaz', candidates: 'table' })),
    );
    if (outcome.ok) throw new Error('answered');
    expect(outcome.problems[0]).toEqual({
      path: 'replace',
      message: '"Saaz" is not in the schedule',
      cure: 'Name one of its hops: Centennial, Citra, Simcoe',
    });
  });

  it('never offers the hop itself from the table, and stops when asked', () => {
    // No time passes on this clock, so that nothing is told before the first hop is tried.
    const search = swapping(model, swapOf(PALE, { replace: 'Citra', candidates: 'table' }), {
      band: BAND,
      now: () => 0,
    });
    let step = search.next();
    for (let i = 0; i < 10 && !step.done; i += 1) step = search.next();
    while (!step.done) step = search.next('stop');
    if (!step.value.ok) throw new Error('refused');
    const { blends, why, tried } = step.value.value;
    expect(tried.length).toBeLessThan(20);
    expect(why.notes.join()).toContain('Time ran out');
    for (const { hops } of blends) expect(hops).not.toContain('Citra');
  });
});
