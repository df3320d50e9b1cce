// Wishes around those of a brief, as a hand may drag them next. Answered before anybody asks, they have the browser
// compile the code that a drag runs: the first blends of a cold one took 100 ms, with a processor at work on compiling.
import { AXES } from '#shared/ids.ts';
import { INTENSITY_MAX } from '#shared/schemas/sizes.ts';
import type { Target, Wish } from '#shared/schemas/brief.ts';

/** Distances from the wishes, intensity. After some 60 answers the browser compiles little anew. */
const STEPS = [-0.9, 0.9, -0.6, 0.6, -0.3, 0.3];

/** Every axis in turn a little lower and higher than wished, the others as they are; a free one wished at least. */
export function wishesAround(target: Target): readonly Target[] {
  return STEPS.flatMap((step) =>
    AXES.map((axis) => ({ ...target, [axis]: moved(target[axis] ?? { at_least: 1 }, step) })),
  );
}

function moved(wish: Wish, step: number): Wish {
  const at = (value: number) => Math.min(INTENSITY_MAX, Math.max(0, value + step));
  const { aim, at_least: least, at_most: most } = wish;
  return {
    ...wish,
    ...(aim !== undefined && { aim: at(aim) }),
    ...(least !== undefined && { at_least: at(least) }),
    ...(most !== undefined && { at_most: at(most) }),
  };
}
