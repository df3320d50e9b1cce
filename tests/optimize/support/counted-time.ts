// Time that passes by the work of a search and not by the machine: each look at it counts one millisecond, and
// a search looks once or twice a step. So a time limit is a number of steps, and a test comes to the same end
// however busy the machine is.
import type { Now } from '#optimize/pacing/clock.ts';

export function countedTime(): Now {
  let looks = 0;
  return () => (looks += 1);
}
