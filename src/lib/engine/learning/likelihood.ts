// How well a score or a lab figure fits what the model says: minus its log likelihood, with slope and bend
// by the figure of the model. A score at an end of the scale says only "this or beyond" (Tobin 1958).
import { SCORE_MAX } from '#shared/schemas/tasting.ts';
import { normalDensity, normalShare } from '#engine/doubt/scores.ts';

/** A note that is not there. */
export const SCORE_MIN = 0;

export interface LikelihoodAt {
  /** Minus the log likelihood, constants left out. */
  readonly cost: number;
  readonly slope: number;
  /** Above zero. */
  readonly bend: number;
}

/** Least bend, as a part of that of a plain score: keeps a step finite where a score says next to nothing. */
const BEND_MIN = 1e-4;
/** Beyond it the tail of a normal is taken by its limit. */
const FAR = 30;

/** A figure known with a normal error. */
export function normalFit(seen: number, said: number, sd: number): LikelihoodAt {
  const off = (said - seen) / sd;
  return { cost: (off * off) / 2, slope: off / sd, bend: 1 / (sd * sd) };
}

/** A figure of which only a limit is known; `over`: by how much what the model says lies on the wrong side. */
function limitFit(over: number, sd: number): LikelihoodAt {
  const x = over / sd;
  const share = x < FAR ? normalShare(-x) : 0;
  const pull = x < FAR ? normalDensity(x) / share : x + 1 / x;
  const bend = Math.max(pull * (pull - x), BEND_MIN);
  const cost = x < FAR ? -Math.log(share) : (x * x) / 2 + Math.log(x * Math.sqrt(2 * Math.PI));
  return { cost, slope: pull / sd, bend: bend / (sd * sd) };
}

/** One score, or the mean of `count` that lie inside the scale. */
export function scoreFit(seen: number, said: number, noise: number, count: number): LikelihoodAt {
  if (seen <= SCORE_MIN) return limitFit(said - SCORE_MIN, noise);
  if (seen < SCORE_MAX) return normalFit(seen, said, noise / Math.sqrt(count));
  const { slope, ...fit } = limitFit(SCORE_MAX - said, noise);
  return { ...fit, slope: -slope };
}
