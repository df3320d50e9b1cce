// Whether the search and an independent mixed-integer program agree on a brief: the program has a blend
// as good, which the engine confirms, and proves that none is below the bound of the answer.
import { expect } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { STAGE_KINDS, type StageKind } from '#shared/stages/kinds.ts';
import { stageAt } from '#shared/stages/stages.ts';
import type { Blend, DesignAnswer } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { intensityOf } from '#engine/predict/smell.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import { defaultValues, model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import { design } from '#optimize/questions/design.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { windowOf } from '#optimize/problem/windows.ts';
import { objectiveOf, type Shape } from './instances.ts';
import { readingOf, scheduleOf, type Reading } from './oracle-reading.ts';
import type { OracleBlend } from './oracle-whole.ts';
import { anyBelow } from './oracle-proof.ts';
import { bestAt } from './oracle.ts';

const BAND = { samples: 20, seed: 1 };
const MINIMISE = ['weight', 'cost', 'leaf'] as const;
export const STAGE_SETS: readonly (readonly StageKind[])[] = [
  ['hot_steep', 'dry_hop'],
  STAGE_KINDS,
  ['dry_hop'],
  ['mash', 'dry_hop'],
  ['hot_steep'],
  ['mash', 'hot_steep'],
  ['mash'],
];

/** Whole numbers from one on. */
export function seeds(from: number, count: number): number[] {
  return Array.from({ length: count }, (_, i) => from + i);
}

/** A small brief whose size, limits and objective follow from its seed. */
export function shapeOf(
  seed: number,
  stages: readonly StageKind[],
  step: number | undefined,
): Shape {
  return {
    hops: 3 + (seed % 9),
    forms: 1 + (seed % 2),
    stages,
    wishes: 2 + (seed % 5),
    beerL: 20,
    ...(seed % 4 ? { hopsAtMost: 2 + (seed % 3) } : {}),
    ...(seed % 3 === 1 ? { smallest: 8 } : {}),
    ...(step ? { step } : {}),
    ibu: seed % 2 === 0,
    stock: seed % 7 === 3,
    minimise: MINIMISE[seed % 3]!,
  };
}

/** The answer; `null` where the hard limits alone cannot be kept. */
export function designed(brief: Brief): DesignAnswer | null {
  const outcome = design(model, brief, { band: BAND });
  if (outcome.ok) return outcome.value;
  const { path, message } = outcome.problems[0]!;
  expect(path).toMatch(/^limits/);
  expect(message).not.toContain('before it was proven');
  return null;
}

/** One weighing step or 0.1 %, in the unit of the objective. */
function tolerance({ choices, step, base }: Reading, truth: number): number {
  const largest = Math.max(...choices.map((c) => c.worth));
  const cheapest = Math.min(...choices.map((c) => c.worth).filter((w) => w > largest / 100));
  return Math.max(PROVEN_GAP * (truth - base), step * cheapest) + 1e-6;
}

/** Whether the engine finds the wishes and the bitterness window met by the oracle's own blend. */
function expectMeets(brief: Brief, additions: readonly LotAddition[]): void {
  const { name, batch, stages, limits, target } = brief;
  const point = predictPoint(model, { name, batch, stages, additions });
  const { ibu } = point.totals;
  expect(ibu).toBeLessThanOrEqual((limits.ibu_at_most ?? Infinity) + 1e-4);
  expect(ibu).toBeGreaterThanOrEqual((limits.ibu_at_least ?? 0) - 1e-4);
  AXES.forEach((axis, i) => {
    if (!target[axis]) return;
    const { low, high } = windowOf(target[axis]);
    const intensity = intensityOf(point.signals[i]!, defaultValues(model));
    expect(intensity).toBeGreaterThanOrEqual(low - 1e-5);
    expect(intensity).toBeLessThanOrEqual(high + 1e-5);
  });
}

/** The oracle's blend with as much dry hop as the one shown, of an objective below `most`. */
function blendAt(reading: Reading, { additions }: Blend, most: number): OracleBlend | null {
  const isDry = (key: string) => stageAt(reading.brief.stages, key)?.kind === 'dry_hop';
  const dry = additions.reduce((sum, a) => sum + (isDry(a.stage) ? a.grams : 0), 0);
  return bestAt(reading, dry - reading.fixedDry, { below: most, gap: 1 });
}

/** A figure just under the bound of an answer; in whole weighing steps a lighter blend is lighter by a step. */
function underBound({ brief, step, base }: Reading, bound: number): number {
  if (brief.minimise !== 'weight' || step === 0) return bound * (1 - 1e-6) - 1e-6;
  return base + (Math.ceil((bound - base) / step - 1e-6) - 1 + 1e-6) * step;
}

/**
 * The search's answer against the oracle's: a blend as good exists, and none below its bound.
 * Returns whether the brief can be met.
 */
export function agrees(brief: Brief): boolean {
  const reading = readingOf(brief);
  const answer = designed(brief);
  const met = answer !== null && answer.status !== 'closest';
  if (!met) {
    expect(anyBelow(reading, Infinity)).toBeNull();
    return false;
  }
  const [shown] = answer.blends;
  expect(answer.status).toBe('optimal');
  expect(shown!.misses).toEqual([]);
  const objective = objectiveOf(brief, shown!);
  const enough = objective + tolerance(reading, objective);
  const blend = blendAt(reading, shown!, enough) ?? anyBelow(reading, enough);
  expectMeets(brief, scheduleOf(reading, blend!.additions));
  expect(objective - answer.lower_bound).toBeLessThanOrEqual(tolerance(reading, objective));
  expect(answer.lower_bound).toBeLessThanOrEqual(objective + 1e-9);
  expect(anyBelow(reading, underBound(reading, answer.lower_bound))).toBeNull();
  return true;
}
