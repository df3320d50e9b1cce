// The slope robust blends are climbed by: its gradients against finite differences, and that a climb
// ends where more scenarios hold than where it began.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { Ascent } from '#optimize/robust/robust-ascent.ts';
import { worldAt, worldsOf } from '#optimize/robust/scenarios.ts';
import { lotsIn, statingIn, tying } from '#optimize/problem/stating.ts';
import { overshoot, TOLERANCE } from '#optimize/problem/evaluation.ts';
import { between, randomBrief, soundProblem, type Shape } from '../support/instances.ts';

const SHAPE: Shape = {
  hops: 4,
  forms: 1,
  stages: ['mash', 'hot_steep', 'dry_hop'],
  wishes: 4,
  beerL: 20,
  ibu: true,
  room: [0.2, 0.5],
};

function ascentOf(seed: number) {
  const brief = randomBrief(seed, SHAPE);
  const stated = finished(tying(model, brief));
  if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
  const central = soundProblem(brief);
  const worlds = worldsOf(model, lotsIn(stated.value), 40, seed);
  const scenarios = Array.from({ length: worlds.count }, (_, k) => {
    const there = finished(statingIn(model, brief, stated.value, worldAt(worlds, k)));
    if (!there.ok) throw new Error(JSON.stringify(there.problems));
    return there.value;
  });
  const random = randomFrom(seed / 1e3);
  const x = Float64Array.from(central.columns, () => between(random, 0.05, 0.8));
  return { central, scenarios, ascent: new Ascent(central, scenarios), x };
}

describe('the slope of the share held', () => {
  it.each([1, 2, 3, 4, 5, 6])('is what finite differences say (brief %i)', (seed) => {
    const { ascent, x } = ascentOf(seed);
    const { of } = ascent.slope(x, 0.4);
    x.forEach((dose, j) => {
      const at = (d: number) => {
        const moved = x.slice();
        moved[j] = d;
        return ascent.slope(moved, 0.4);
      };
      const step = 1e-5 * dose;
      const [above, below] = [at(dose + step), at(dose - step)];
      for (const side of ['share', 'breach'] as const) {
        const slope = (above[side] - below[side]) / (2 * step);
        expect(Math.abs(slope - of[side][j]!)).toBeLessThan(1e-4 + 1e-3 * Math.abs(slope));
      }
    });
  });

  it('leads to blends that hold in more scenarios', () => {
    let gained = 0;
    for (let seed = 11; seed <= 18; seed += 1) {
      const { ascent, x, central, scenarios } = ascentOf(seed);
      const end = finished(ascent.climb(x, { kind: 'most' }, 100, () => false));
      const held = (at: Float64Array) => {
        const doses = { columns: [...at.keys()], doses: [...at] };
        return scenarios.filter((p) => overshoot(p, doses, 0) <= TOLERANCE).length;
      };
      expect(end.length).toBe(central.columns.length);
      gained += held(end) - held(x);
    }
    expect(gained).toBeGreaterThan(8 * 5);
  });
});
