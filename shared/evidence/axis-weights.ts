// How much a compound counts on an axis, from what it is said to smell of.
import { AXES } from '#shared/ids.ts';
import type { AxisWeight, Descriptor } from '#shared/schemas/tables.ts';

/**
 * Weight of a driver on an axis by the rank of its best descriptor there: first-named note 1,
 * second 1/2, third 1/4, and 1/10 for a note reported only when the compound is strong.
 * An engineering rule of this project: no opened source gives weights.
 */
const RANK_WEIGHT: Readonly<Record<number, number>> = { 1: 1, 2: 0.5, 3: 0.25, 4: 0.1 };

/** One weight per driver and axis: the strongest of its descriptors there. */
export function axisWeights(descriptors: readonly Descriptor[]): AxisWeight[] {
  const best = new Map<string, AxisWeight>();
  for (const { driver, axis, rank, standIn } of descriptors) {
    if (axis === null) continue;
    const weight = RANK_WEIGHT[rank]!;
    const key = `${driver} ${axis}`;
    if ((best.get(key)?.weight ?? 0) < weight) best.set(key, { driver, axis, weight, standIn });
  }
  // Ids compare as they stand: a first comparison by language took 10 ms of every start that reads the tables.
  return [...best.values()].sort(
    (a, b) => AXES.indexOf(a.axis) - AXES.indexOf(b.axis) || (a.driver < b.driver ? -1 : 1),
  );
}
