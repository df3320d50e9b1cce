// Seeded scenarios of what is in each lot, and how a blend fares in every one of them: fast enough to
// try thousands of blends. Parameters and thresholds stay at their defaults.
import type { Brief } from '#shared/schemas/brief.ts';
import type { Lot } from '#engine/composition.ts';
import type { LotAddition } from '#engine/design.ts';
import { signalOf } from '#engine/aroma.ts';
import type { Model } from '#engine/model.ts';
import { defaultWorld, predictPoint, type World } from '#engine/predict.ts';
import { drawLot, lotInDraw, lotNames } from '#engine/lot-sampling.ts';
import { AXES } from '#shared/ids.ts';
import { CHECK_TOLERANCE } from './check.ts';
import { finished } from './clock.ts';
import { windowOf } from './wish-rows.ts';
import type { BlendProblem } from './problem.ts';
import { overshoot, type Doses } from './truth.ts';

/** Worlds that differ in the composition of their lots; the same seed gives the same worlds. */
export function worldsOf(
  model: Model,
  lots: Iterable<Lot>,
  count: number,
  seed: number,
): readonly World[] {
  return [...drawingWorlds(model, lots, count, seed)].filter((world) => world !== null);
}

/**
 * The same one after the other; `null` while lots are drawn.
 * @param of the lots that are looked at, where not all are; those of all lots are drawn as ever.
 */
export function* drawingWorlds(
  model: Model,
  lots: Iterable<Lot>,
  count: number,
  seed: number,
  of: ReadonlySet<Lot> | null = null,
): Generator<World | null, void> {
  const all = [...lots];
  const central = defaultWorld(model, all);
  const names = lotNames(all);
  const draws: (readonly [Lot, ReturnType<typeof drawLot>])[] = [];
  for (const lot of all) {
    if (of && !of.has(lot)) continue;
    draws.push([lot, drawLot(model, lot, names.get(lot)!, { samples: count, seed })]);
    yield null;
  }
  for (let k = 0; k < count; k += 1) {
    yield { ...central, lots: new Map(draws.map(([lot, drawn]) => [lot, lotInDraw(drawn, k)])) };
  }
}

/** Whether the engine finds every wish and the bitterness window met in a world. */
export function holdsIn(
  model: Model,
  { name, batch, stages, target, limits }: Brief,
  additions: readonly LotAddition[],
  world: World,
): boolean {
  const { signals, totals } = predictPoint(model, { name, batch, stages, additions }, world);
  const { ibu_at_least = 0, ibu_at_most = Infinity } = limits;
  const slack = 1 + CHECK_TOLERANCE;
  if (totals.ibu * slack < ibu_at_least || totals.ibu > ibu_at_most * slack) return false;
  return AXES.every((axis, i) => {
    const wish = target[axis];
    if (!wish) return true;
    const { low, high } = windowOf(wish);
    const least = low > 0 ? signalOf(low, world.values) : 0;
    const most = high < Infinity ? signalOf(high, world.values) : Infinity;
    return signals[i]! * slack + 1e-12 >= least && signals[i]! <= most * slack + 1e-12;
  });
}

/** Share of worlds in which the engine finds a blend to hold, 0 to 1. */
export function shareHeld(
  model: Model,
  brief: Brief,
  additions: readonly LotAddition[],
  worlds: readonly World[],
): number {
  return finished(countingHeld(model, brief, additions, worlds));
}

/** The same, a world at a time. */
export function* countingHeld(
  model: Model,
  brief: Brief,
  additions: readonly LotAddition[],
  worlds: readonly World[],
): Generator<undefined, number> {
  let held = 0;
  for (const world of worlds) {
    if (holdsIn(model, brief, additions, world)) held += 1;
    yield;
  }
  return held / worlds.length;
}

/**
 * How far a blend is from holding in each scenario, sorted: 0 where it holds, else the largest
 * relative miss of a wish.
 */
export function missesIn(problems: readonly BlendProblem[], doses: Doses): Float64Array {
  return Float64Array.from(problems, (p) => overshoot(p, doses, 0)).sort();
}
