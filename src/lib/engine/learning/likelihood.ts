// How well a score or a lab figure fits a prediction: minus the log likelihood, with its slope and curvature by
// the predicted figure. A score at an end of the scale says only "this or beyond" (Tobin 1958).
import { SCORE_MAX } from '#shared/schemas/tasting.ts';
import { normalDensity, normalShare } from '#engine/doubt/scores.ts';

/** Score of a note that is not there. */
export const SCORE_MIN = 0;

export interface LikelihoodAt {
  /** Minus the log likelihood, without constants. */
  readonly cost: number;
  readonly slope: number;
  /** Above zero. */
  readonly bend: number;
}

/**
 * Smallest curvature, as a share of that of a plain score: keeps steps finite where a score carries next to no
 * information.
 */
const BEND_MIN = 1e-4;
/** Standard deviations beyond which the tail of a normal distribution is computed by its limit. */
const FAR = 30;

/** Fit of a figure with a normally distributed error. */
export function normalFit(seen: number, said: number, sd: number): LikelihoodAt {
  const off = (said - seen) / sd;
  return { cost: (off * off) / 2, slope: off / sd, bend: 1 / (sd * sd) };
}

/** Fit of a figure of which only a limit is known; `over`: by how much the prediction lies on the wrong side. */
function limitFit(over: number, sd: number): LikelihoodAt {
  const x = over / sd;
  const share = x < FAR ? normalShare(-x) : 0;
  const pull = x < FAR ? normalDensity(x) / share : x + 1 / x;
  const bend = Math.max(pull * (pull - x), BEND_MIN);
  const cost = x < FAR ? -Math.log(share) : (x * x) / 2 + Math.log(x * Math.sqrt(2 * Math.PI));
  return { cost, slope: pull / sd, bend: bend / (sd * sd) };
}

/** Fit of one score, or of the mean of `count` scores that lie inside the scale. */
export function scoreFit(seen: number, said: number, noise: number, count: number): LikelihoodAt {
  if (seen <= SCORE_MIN) return limitFit(said - SCORE_MIN, noise);
  if (seen < SCORE_MAX) return normalFit(seen, said, noise / Math.sqrt(count));
  const { slope, ...fit } = limitFit(SCORE_MAX - said, noise);
  return { ...fit, slope: -slope };
}
