// A clock that advances by one millisecond each time it is read; a search reads it once or twice a step. So a time
// limit is a number of steps, and a test ends alike however busy the machine is.
import type { Now } from '#optimize/pacing/clock.ts';

export function countedTime(): Now {
  let looks = 0;
  return () => (looks += 1);
}
