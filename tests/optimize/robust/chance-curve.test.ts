// The curve of the least blend against the share of lots: each point the one its own search proves, and on the
// way every bound below every blend of its share.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/tables/model.ts';
import { TOLERANCE, meetsLimits, overshoot } from '#optimize/problem/evaluation.ts';
import { ChanceCurve } from '#optimize/robust/chance-curve.ts';
import { ChanceDraws } from '#optimize/robust/chance-draws.ts';
import { ChanceSearch } from '#optimize/robust/chance-search.ts';
import { Search } from '#optimize/search/search.ts';
import { soundProblem } from '../support/instances.ts';
import { smallBrief } from '../support/chance-briefs.ts';

const DRAWS = { samples: 20, seed: 5 };
const SHARES = [0.4, 0.6, 0.8];

describe('the curve of the least blend against the share of lots', () => {
  let grew = 0;

  it.each([1, 2, 3, 4, 5, 6])('has the points that single searches prove (brief %i)', (seed) => {
    const brief = smallBrief(seed, seed % 2 === 0);
    const problem = soundProblem(brief);
    const search = new Search(problem, 'objective', 0, 0);
    while (search.step());
    const { incumbent, bound } = search.state;
    if (!incumbent) return;
    const middle = { doses: incumbent.doses, bound };
    const draws = new ChanceDraws(model, brief, problem, DRAWS, null);
    const curve = new ChanceCurve(draws, SHARES, middle);
    const ends = SHARES.map((share) => {
      const alone = new ChanceSearch(draws, share, middle);
      while (alone.step());
      return alone.state;
    });
    for (let more = true; more;) {
      more = curve.step();
      curve.points.forEach(({ bound: proven, best }, i) => {
        const least = ends[i]!.best?.score.objective ?? Infinity;
        expect(proven).toBeLessThanOrEqual(least * (1 + 1e-9));
        if (best) expect(best.score.objective).toBeGreaterThanOrEqual(least * (1 - 1e-9));
      });
    }
    curve.points.forEach(({ best, done, shareAtMost, share }, i) => {
      const least = ends[i]!.best?.score.objective ?? null;
      expect(done).toBe(true);
      expect(best === null).toBe(least === null);
      if (best === null) expect(shareAtMost).toBeLessThanOrEqual(share + 0.1);
      else {
        expect(best.score.objective).toBeCloseTo(least!, 6);
        expect(best.held).toBeGreaterThanOrEqual(share * DRAWS.samples);
        expect(meetsLimits(problem, best.doses)).toBe(true);
        expect(overshoot(problem, best.doses, 0)).toBeLessThanOrEqual(TOLERANCE);
      }
    });
    const found = curve.points.flatMap(({ best }) => best?.score.objective ?? []);
    expect(found).toEqual([...found].sort((a, b) => a - b));
    if (found.length > 1 && found.at(-1)! > found[0]! + 1e-6) grew += 1;
  });

  it('was tried on briefs where more lots take more', () => {
    expect(grew).toBeGreaterThanOrEqual(2);
  });
});
