// Several blends: none has the main hop of one before it, in order, each as good as a plain search without
// those hops finds.
import { describe, expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Blend } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { model } from '#engine/tables/model.ts';
import { ranked, type Ranked } from '#optimize/search/other-blends.ts';
import { design, designing } from '#optimize/questions/design.ts';
import { randomBrief, type Shape } from '../support/instances.ts';
import { BAND } from '../support/schedules.ts';

const SHAPE: Shape = {
  hops: 6,
  forms: 1,
  stages: ['hot_steep', 'dry_hop'],
  wishes: 3,
  beerL: 20,
  hopsAtMost: 3,
  smallest: 5,
  step: 1,
};

function hopsOf({ additions }: Blend): string[] {
  return [...new Set(additions.map((a) => a.hop))].sort();
}

function answer(brief: Brief, alternatives: number) {
  const outcome = design(model, brief, { alternatives, band: BAND, timeLimitMs: 600_000 });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}

/** The hop a blend has most of that need not be in it; of equal doses the first by name. */
function mainHopOf(blend: Blend, { limits }: Brief): string {
  const grams = (hop: string) =>
    blend.additions.reduce((sum, a) => sum + (a.hop === hop ? a.grams : 0), 0);
  const free = hopsOf(blend).filter((hop) => !limits.require.includes(hop));
  return free.reduce((main, hop) => (grams(hop) > grams(main) + 1e-9 ? hop : main));
}

describe('alternatives', () => {
  it.each([4, 7, 10])('are the best without the main hop of each before (seed %i)', (seed) => {
    const brief = randomBrief(seed, SHAPE);
    const { blends, status } = answer(brief, 4);
    expect(status).toBe('optimal');
    expect(blends.length).toBeGreaterThan(2);
    const weights = blends.map((b) => b.totals.hop_g);
    for (let i = 1; i < blends.length; i += 1) {
      const ban = blends.slice(0, i).map((blend) => mainHopOf(blend, brief));
      const outcome = design(model, { ...brief, limits: { ...brief.limits, ban } }, { band: BAND });
      if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
      expect(outcome.value.status).toBe('optimal');
      const best = outcome.value.blends[0]!.totals.hop_g;
      // Both are proven to a weighing step or a share of the weight.
      const room = Math.max(1, 0.01 * best) + 1e-6;
      expect(Math.abs(weights[i]! - best)).toBeLessThanOrEqual(room);
      expect(blends[i]!.proof!.status).toBe('optimal');
    }
  });

  it.each(SEED_BRIEFS.filter(({ id }) => id !== 'clash'))(
    'of $id differ in their hops, the best first',
    ({ brief }) => {
      const { blends, lower_bound, why } = answer(brief, 5);
      expect(blends.length).toBeGreaterThan(1);
      if (blends.length < 5) expect(why.notes.join()).toMatch(/further blend/);
      const mains = blends.map((blend) => mainHopOf(blend, brief));
      // A hop that no blend does without is named.
      const kept = why.notes.filter((note) => note.startsWith('No further blend')).join();
      blends.map(hopsOf).forEach((later, i) => {
        for (const earlier of blends.slice(0, i).map(hopsOf)) {
          expect(earlier.some((hop) => !later.includes(hop))).toBe(true);
        }
        for (const main of mains.slice(0, i)) {
          if (!kept.includes(main)) expect(later).not.toContain(main);
        }
      });
      const figure = (b: Blend) => (brief.minimise === 'cost' ? b.totals.cost! : b.totals.hop_g);
      blends.forEach((blend, i) => {
        expect(blend.misses).toEqual([]);
        expect(blend.proof!.lower_bound).toBeLessThanOrEqual(figure(blend) + 1e-6);
        expect(figure(blend)).toBeGreaterThanOrEqual(lower_bound - 1e-6);
        if (i > 0) expect(figure(blend)).toBeGreaterThanOrEqual(figure(blends[i - 1]!) - 1e-9);
      });
    },
  );

  it('of a clash are the closest without one of the hops', () => {
    const { brief } = SEED_BRIEFS.find(({ id }) => id === 'clash')!;
    const { blends, status } = answer(brief, 3);
    expect(status).toBe('closest');
    expect(blends.length).toBe(3);
    for (const blend of blends) {
      expect(blend.proof!.status).toBe('closest');
      expect(blend.worst_miss).toBeGreaterThanOrEqual(blend.proof!.lower_bound - 1e-6);
    }
  });

  it('go before one they beat by less than what counts as proven, unless it has their main hop', () => {
    const of = (figure: number, lower_bound: number, ...varieties: number[]): Ranked => ({
      blend: {} as Blend,
      proof: { status: 'optimal', lower_bound, gap: 0 },
      figure,
      varieties: new Set(varieties),
      main: varieties[0]!,
    });
    const first = of(20, 19, 1, 2);
    expect(ranked([first], of(19, 19, 3, 2)).map((r) => r.figure)).toEqual([19, 20]);
    expect(ranked([first], of(19, 19, 2)).map((r) => r.figure)).toEqual([20, 19]);
    expect(ranked([first], of(21, 20, 3, 2)).map((r) => r.figure)).toEqual([20, 21]);
    expect(ranked([of(20, 18, 1, 2)], of(19, 19, 3))[0]!.proof.lower_bound).toBe(18);
  });

  it('end with a note where nothing further is possible', () => {
    const brief = randomBrief(2, { ...SHAPE, hops: 2, hopsAtMost: 1 });
    const { blends, why } = answer({ ...brief, target: {} }, 3);
    expect(blends.length).toBe(1);
    expect(why.notes.join()).toContain('No further blend');
  });

  it('stop when asked to, with what is settled', () => {
    const { brief } = SEED_BRIEFS[0]!;
    const search = designing(model, brief, { alternatives: 5, band: BAND });
    let step = search.next();
    // A blend that is found within one slice is settled without a snapshot of its own.
    while (!step.done && (step.value.settled ?? 0) < 2) step = search.next();
    expect(step.done).toBe(false);
    while (!step.done) step = search.next('stop');
    if (!step.value.ok) throw new Error('refused');
    const { blends } = step.value.value;
    expect(blends.length).toBeGreaterThanOrEqual(2);
    for (const { proof } of blends) expect(proof).toBeDefined();
  });
});

it.each([2, 3, 14, 18])(
  'are each the cheapest of their hops, in steps that count, brief %i',
  (seed) => {
    const plain = randomBrief(seed, {
      hops: 10,
      forms: 1,
      stages: ['mash', 'hot_steep', 'dry_hop'],
      wishes: 3,
      beerL: 5 + (seed % 3) * 10,
      ibu: seed % 2 === 0,
      step: 5,
      smallest: 5,
    });
    const brief: Brief = { ...plain, minimise: 'cost' };
    const lots = brief.candidates as Exclude<Brief['candidates'], 'table'>;
    const band = { samples: 20, seed: 1 };
    const answer = design(model, brief, { alternatives: 3, band });
    if (!answer.ok) throw new Error(JSON.stringify(answer.problems));
    expect(answer.value.blends.length).toBeGreaterThan(1);
    for (const { additions, totals } of answer.value.blends) {
      const candidates = lots.filter(({ hop }) => additions.some((a) => a.hop === hop));
      const own = design(model, { ...brief, candidates }, { band });
      if (!own.ok) throw new Error(JSON.stringify(own.problems));
      expect(totals.cost!).toBeLessThanOrEqual(own.value.blends[0]!.totals.cost! * 1.002);
    }
  },
);
