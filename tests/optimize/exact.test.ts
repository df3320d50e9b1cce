// The search against an independent mixed-integer program (oracle.ts) on random briefs: same optimum
// to 0.1 % or one weighing step, bounds never above the truth, and the same verdict on what cannot be
// met. Without dry hop the load is 0 and the program is the whole truth; with whole weighing steps
// every load there can be is tried; with free doses a grid of loads bounds the truth from above.
import { describe, expect, it } from 'vitest';
import { model } from '#engine/model.ts';
import type { DesignAnswer } from '#shared/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { design } from '#optimize/design.ts';
import type { BlendProblem } from '#optimize/problem.ts';
import { PROVEN_GAP } from '#optimize/search.ts';
import { objectiveOf, randomBrief, soundProblem, type Shape } from './instances.ts';
import { bestAtLoad, bestOverSteps } from './oracle.ts';

const BEER_L = 20;
/** Loads looked at where no blend bounds them, g/L. */
const LOAD_FAR = 12;
const MINIMISE = ['weight', 'weight', 'cost', 'leaf'] as const;

function shapeOf(seed: number, stages: Shape['stages'], step: number | undefined): Shape {
  return {
    hops: 4 + (seed % 9),
    forms: 1 + (seed % 2),
    stages,
    wishes: 2 + (seed % 5),
    beerL: BEER_L,
    ...(seed % 4 ? { hopsAtMost: 2 + (seed % 3) } : {}),
    ...(seed % 3 === 1 ? { smallest: 8 } : {}),
    ...(step ? { step } : {}),
    ibu: seed % 2 === 0,
    stock: seed % 7 === 3,
    minimise: MINIMISE[seed % 4]!,
  };
}

function designed(brief: Brief): { answer: DesignAnswer; objective: number; met: boolean } {
  const outcome = design(model, brief, { band: { samples: 20, seed: 1 } });
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  const answer = outcome.value;
  const objective = objectiveOf(brief, answer.blends[0]!);
  return { answer, objective, met: answer.status !== 'closest' };
}

/** One weighing step or 0.1 %, in the unit of the objective. */
function tolerance({ objective, step }: BlendProblem, truth: number): number {
  const largest = Math.max(...objective);
  const cheapest = Math.min(...objective.filter((c) => c > largest / 100));
  return Math.max(PROVEN_GAP * truth, step > 0 ? step * cheapest : 0) + 1e-6;
}

/** @param truth the oracle's optimum, infinite if there is none. */
function agrees(brief: Brief, problem: BlendProblem, truth: number): void {
  const { answer, objective, met } = designed(brief);
  expect(met).toBe(truth < Infinity);
  if (!met) return;
  expect(answer.status).toBe('optimal');
  expect(answer.blends[0]!.misses).toEqual([]);
  expect(objective).toBeGreaterThanOrEqual(truth * (1 - 1e-6) - 1e-6);
  expect(objective).toBeLessThanOrEqual(truth + tolerance(problem, truth));
  expect(answer.lower_bound).toBeLessThanOrEqual(truth * (1 + 1e-6) + 1e-6);
}

const seeds = (from: number, count: number) => Array.from({ length: count }, (_, i) => from + i);

describe('against the whole mixed-integer program', () => {
  it.each(seeds(0, 36))('hot side only, brief %i', (seed) => {
    const step = seed % 5 < 3 ? 1 + (seed % 4) : undefined;
    const brief = randomBrief(seed, shapeOf(seed, ['mash', 'hot_steep'], step));
    const problem = soundProblem(brief);
    agrees(brief, problem, bestAtLoad(problem, 0)?.objective ?? Infinity);
  });

  it.each(seeds(800, 16))('hot side only, many hops, brief %i', (seed) => {
    const brief = randomBrief(seed, {
      hops: 24,
      forms: 2,
      stages: ['mash', 'hot_steep'],
      wishes: 3 + (seed % 4),
      beerL: BEER_L,
      hopsAtMost: 3,
      smallest: 10,
      step: 2,
      hidden: 4,
      room: [0.02, 0.1],
      minimise: seed % 2 ? 'weight' : 'cost',
    });
    const problem = soundProblem(brief);
    agrees(brief, problem, bestAtLoad(problem, 0)?.objective ?? Infinity);
  });

  it.each(seeds(100, 30))('every load in whole weighing steps, brief %i', (seed) => {
    const stages = seed % 3 ? (['hot_steep', 'dry_hop'] as const) : (['mash', 'dry_hop'] as const);
    const brief = randomBrief(seed, shapeOf(seed, stages, 8 + (seed % 6)));
    const problem = soundProblem(brief);
    const { objective, met } = designed(brief);
    const far = met && brief.minimise === 'weight' ? objective / BEER_L : LOAD_FAR;
    agrees(brief, problem, bestOverSteps(problem, far));
  });

  it.each(seeds(200, 16))('a grid of loads, free doses, brief %i', (seed) => {
    const brief = randomBrief(seed, shapeOf(seed, ['hot_steep', 'dry_hop'], undefined));
    const problem = soundProblem(brief);
    const { answer, objective, met } = designed(brief);
    const far = met && brief.minimise === 'weight' ? objective / BEER_L : LOAD_FAR;
    let best = Infinity;
    for (let k = 0; k <= 40; k += 1) {
      best = Math.min(best, bestAtLoad(problem, (far * k) / 40)?.objective ?? Infinity);
    }
    if (!met) {
      expect(best).toBe(Infinity);
      return;
    }
    expect(answer.status).toBe('optimal');
    expect(answer.blends[0]!.misses).toEqual([]);
    expect(objective).toBeLessThanOrEqual(best + tolerance(problem, best));
    // At the load of the answer the program cannot do better than the bound that was proven.
    const { additions } = answer.blends[0]!;
    const dry = additions.reduce((sum, a) => sum + (a.stage === 'dry_hop' ? a.grams : 0), 0);
    const there = bestAtLoad(problem, dry / BEER_L);
    if (there)
      expect(there.objective).toBeGreaterThanOrEqual(answer.lower_bound * (1 - 1e-5) - 1e-6);
  });
});
