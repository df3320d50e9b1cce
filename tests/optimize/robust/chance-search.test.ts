// The search for a blend that holds in a share of drawn lots, against plain enumeration on small briefs:
// the blend is the lightest there is, and the bound on the way is never above it. And what it counts by,
// draw by draw, against the problem stated in that draw.
import { describe, expect, it } from 'vitest';
import type { Brief } from '#shared/schemas/brief.ts';
import { effectsAt, effectsIn } from '#engine/predict/effects.ts';
import { processOf } from '#engine/process/process.ts';
import { at } from '#engine/symbols/world.ts';
import { model } from '#engine/tables/model.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { meetsLimits, objectiveOf, overshoot, TOLERANCE } from '#optimize/problem/evaluation.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { lotsIn, statingIn, tying } from '#optimize/problem/stating.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { ChanceDraws } from '#optimize/robust/chance-draws.ts';
import { ChanceSearch } from '#optimize/robust/chance-search.ts';
import { DrawnLots } from '#optimize/robust/drawn-lots.ts';
import { DrawnJudge } from '#optimize/robust/judging.ts';
import { Moves } from '#optimize/robust/moves.ts';
import { problemInDraws } from '#optimize/robust/draw-problems.ts';
import { worldAt, worldsOf } from '#optimize/robust/scenarios.ts';
import { Search } from '#optimize/search/search.ts';
import { smallBrief, STEPS } from '../support/chance-briefs.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';

const DRAWS = { samples: 20, seed: 5 };
const SHARE = 0.8;
const NEEDED = 16;
/** Every blend of at most two hops in whole steps, of no more additions than there may be. */
function* everyBlend(problem: BlendProblem): Generator<Doses> {
  const { columnsOfVariety, step, additionsAtMost } = problem;
  const n = problem.varieties.length;
  function* dosed(columns: readonly number[], at: number, used: Doses): Generator<Doses> {
    if (at === columns.length) {
      if (used.columns.length > 0) yield used;
      return;
    }
    yield* dosed(columns, at + 1, used);
    if (used.columns.length === additionsAtMost) return;
    for (let count = 1; count <= STEPS; count += 1) {
      yield* dosed(columns, at + 1, {
        columns: [...used.columns, columns[at]!],
        doses: [...used.doses, count * step],
      });
    }
  }
  for (let v = 0; v < n; v += 1) {
    for (let w = v + 1; w < n; w += 1) {
      const columns = [...columnsOfVariety[v]!, ...columnsOfVariety[w]!];
      yield* dosed(columns, 0, { columns: [], doses: [] });
    }
  }
}

function lightest(problem: BlendProblem, judge: DrawnJudge): number {
  let least = Infinity;
  for (const doses of everyBlend(problem)) {
    const objective = objectiveOf(problem, doses);
    if (objective >= least - 1e-9 || !meetsLimits(problem, doses)) continue;
    if (overshoot(problem, doses, 0) > TOLERANCE) continue;
    if (judge.judge(doses).held >= judge.needed) least = objective;
  }
  return least;
}

const SEEDS = Array.from({ length: 12 }, (_, i) => i + 1);

describe('a blend that holds in a share of drawn lots, against every blend there is', () => {
  let found = 0;
  let dearer = 0;

  const judge = (brief: Brief) => {
    const problem = soundProblem(brief);
    const middle = new Search(problem, 'objective', 0, 0);
    while (middle.step());
    const { incumbent, bound } = middle.state;
    if (!incumbent) return;
    const start = { doses: incumbent.doses, bound };
    const draws = new ChanceDraws(model, brief, problem, DRAWS, null);
    const search = new ChanceSearch(draws, SHARE, start);
    const least = lightest(problem, search.judge);
    for (let more = true; more;) {
      more = search.step();
      const { best, bound: proven } = search.state;
      if (least < Infinity) expect(proven).toBeLessThanOrEqual(least * (1 + 1e-9));
      if (best) expect(best.score.objective).toBeGreaterThanOrEqual(least * (1 - 1e-9));
    }
    const { best, done, shareAtMost } = search.state;
    expect(done).toBe(true);
    if (least === Infinity) {
      expect(best).toBeNull();
      expect(shareAtMost).toBeLessThan(search.judge.needed / DRAWS.samples);
      return;
    }
    expect(best!.score.objective).toBeCloseTo(least, 6);
    expect(best!.held).toBe(search.judge.judge(best!.doses).held);
    expect(search.state.bound).toBeCloseTo(least, 6);
    found += 1;
    if (least > incumbent.merit + 1e-6) dearer += 1;
  };

  it.each(SEEDS)('is the lightest (brief %i)', (seed) => {
    judge(smallBrief(seed, seed % 2 === 0));
  });

  it.each(SEEDS)('is the lightest of few forms and additions (brief %i)', (seed) => {
    const limits = { forms_per_hop_at_most: 1, additions_at_most: 2 + (seed % 2) };
    judge(smallBrief(seed, seed % 2 === 0, limits));
  });

  it('was tried on briefs that tell something', () => {
    expect(found).toBeGreaterThanOrEqual(12);
    expect(dearer).toBeGreaterThanOrEqual(6);
  });
});

it('rests after few columns are drawn while a blend is moved', () => {
  const stages = ['hot_steep', 'dry_hop'] as const;
  const brief = randomBrief(7, { hops: 40, forms: 1, stages, wishes: 4, beerL: 20, hopsAtMost: 4 });
  const problem = soundProblem(brief);
  const middle = new Search(problem, 'objective', 0, 0);
  while (middle.step());
  const { doses } = middle.incumbent!;
  const drawn = new DrawnLots(model, brief, problem, DRAWS);
  const moves = new Moves(problem, new DrawnJudge(problem, drawn, DRAWS.samples));
  const start = moves.score(doses, null)!;
  let [before, most] = [drawn.made, 0];
  for (const _ of moves.descend(start)) {
    most = Math.max(most, drawn.made - before);
    before = drawn.made;
  }
  expect(drawn.made).toBeGreaterThan(problem.columns.length / 2);
  expect(most).toBeLessThanOrEqual(5);
});

describe('what is counted in a draw', () => {
  const keep = [
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 30 },
    { hop: 'Saaz', form: 'pellet_90', stage: 'hot_steep', grams: 20 },
  ] as const;

  it.each([
    [1, false],
    [2, true],
    [4, true],
  ])(
    'is what the problem stated in that draw says (brief %i, kept additions: %s)',
    (seed, keeps) => {
      const brief = { ...smallBrief(seed, true), ...(keeps && { keep: [...keep] }) };
      const problem = soundProblem(brief);
      const drawn = new DrawnLots(model, brief, problem, DRAWS);
      const judge = new DrawnJudge(problem, drawn, NEEDED);
      const tied = finished(tying(model, brief));
      if (!tied.ok) throw new Error(JSON.stringify(tied.problems));
      const worlds = worldsOf(model, lotsIn(tied.value), DRAWS.samples, DRAWS.seed);
      const some = [...everyBlend(problem)].filter((_, i) => i % 997 === 0);
      for (let k = 0; k < DRAWS.samples; k += 1) {
        const stated = finished(statingIn(model, brief, tied.value, worldAt(worlds, k)));
        if (!stated.ok) throw new Error(JSON.stringify(stated.problems));
        const made = problemInDraws(problem, drawn, [k], k);
        for (const doses of some) {
          judge.judge(doses);
          const miss = overshoot(stated.value, doses, 0);
          expect(judge.misses[k]).toBeCloseTo(miss, 9);
          // The middle wishes stand beside those of the draw.
          const both = Math.max(miss, overshoot({ ...problem, bitter: null }, doses, 0));
          expect(overshoot(made, doses, 0)).toBeCloseTo(both, 9);
        }
      }
    },
  );

  it('is what one world after the other gives, lot by lot', () => {
    const brief = smallBrief(3, true);
    const tied = finished(tying(model, brief));
    if (!tied.ok) throw new Error(JSON.stringify(tied.problems));
    const lots = [...lotsIn(tied.value)];
    const worlds = worldsOf(model, lots, DRAWS.samples, DRAWS.seed);
    const process = processOf(model, brief.batch, brief.stages);
    const all = effectsIn(process, lots, 'dry_hop', worlds);
    for (let k = 0; k < DRAWS.samples; k += 1) {
      effectsAt(process, lots, 'dry_hop', worldAt(worlds, k)).forEach((effect, i) => {
        effect.compounds.forEach((ug, c) => expect(at(all[i]!.compounds[c]!, k)).toBe(ug));
        expect(at(all[i]!.alpha, k)).toBe(effect.alpha);
        expect(at(all[i]!.leaf, k)).toBe(effect.leaf);
        expect(at(all[i]!.humulinones, k)).toBe(effect.humulinones);
      });
    }
  });
});
