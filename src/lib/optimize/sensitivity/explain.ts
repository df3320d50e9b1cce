// Why the blend shown is as it is: what each addition brings, what each wish costs, and, where no
// blend meets the brief, which wishes clash and the brief with each of them eased just enough.
import { wishSubject } from '#shared/answers/wish-subject.ts';
import type {
  Blend,
  Clash,
  ClashMember,
  Contribution,
  Price,
  WhyNot,
} from '#shared/answers/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { AxisId } from '#shared/ids.ts';
import { type Brief } from '#shared/schemas/brief.ts';
import { isCount } from '#shared/schemas/limit-counts.ts';
import { designFor } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { briefWith } from './iis.ts';
import { contributionsOf } from './contributions.ts';
import { axisEvidence, type AxisEvidence } from '#engine/evidence/axis-evidence.ts';
import { settlingOf } from './shadow-prices.ts';
import { reasonFor, reasonWithout } from './reasons.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import { Clock, listening, STOPPED, type Run, type Timing } from '#optimize/pacing/clock.ts';

/** A member of a clash with the brief in which it alone has given way as far as it must. */
export interface EasedMember extends ClashMember {
  /** The figure it is eased to, rounded to the easy side; `null` where there is none. */
  readonly eased_to: number | null;
  readonly eased: Brief | null;
}

export interface Explanation {
  readonly contributions: readonly Contribution[];
  /** Which kinds of evidence each axis rests on. */
  readonly resting: Readonly<Record<AxisId, AxisEvidence | null>>;
  /** `null`: not worked out yet, or not to be had (then `unpriced` says why). */
  readonly prices: readonly Price[] | null;
  readonly unpriced: string | null;
  readonly clash: (Omit<Clash, 'members'> & { readonly members: readonly EasedMember[] }) | null;
  /** Whether a clash was sought and not settled in time. */
  readonly unsettled: boolean;
}

/** Places a figure is rounded to, by what it measures. */
function placesOf({ wish }: ClashMember): number {
  const of = wishSubject(wish);
  if (of?.kind === 'axis') return 2;
  if (of?.kind !== 'limit') return 1;
  return of.limit === 'cost_at_most' ? 2 : isCount(of.limit) ? 0 : 1;
}

/** The brief with a member eased; what was shown to hold still holds, because rounding eases more. */
function eased(brief: Brief, member: ClashMember): EasedMember {
  const { holds_at: figure, side } = member;
  if (figure === null) return { ...member, eased_to: null, eased: null };
  const scale = 10 ** placesOf(member);
  const exact = figure * scale;
  const whole = side === 'at_least' ? Math.floor(exact + 1e-6) : Math.ceil(exact - 1e-6);
  const to = whole / scale;
  return { ...member, eased_to: to, eased: briefWith(brief, member, to) };
}

/**
 * Explains a blend for a brief. Yields what is known so far, the contributions first. Prices are of
 * blends designed for the brief only: of any other they would be the prices of another blend.
 */
export function* explaining(
  base: Model,
  brief: Brief,
  blend: Blend,
  designed: boolean,
  { timeLimitMs, now }: Timing = {},
): Run<Explanation, Outcome<Explanation>> {
  const model = modelFor(base, brief);
  const clock = new Clock(timeLimitMs, now);
  const shown = designFor(model, brief, blend.additions);
  if (!shown.ok) return shown;
  const known: Explanation = {
    contributions: contributionsOf(model, shown.value),
    resting: axisEvidence(model, shown.value),
    prices: null,
    unpriced: null,
    clash: null,
    unsettled: false,
  };
  if (!designed || (yield known) === 'stop') return success(known);
  const stated = yield* heardStating(model, brief, clock, () => known);
  if (!stated.ok) return stated;
  const designedFor = { model, brief, problem: stated.value, blend };
  const seeking = reasonFor(designedFor, blend.misses.length > 0, clock);
  const reason = yield* listening(clock, seeking, () => known, clock.deadline);
  const stopped = 'Stopped before the wishes were priced.';
  if (!reason) return success({ ...known, unpriced: stopped });
  if (reason.kind === 'unpriced') return success({ ...known, unpriced: reason.why });
  if (reason.kind === 'clash') {
    const clash = yield* listening(clock, reason.seeking, () => known, clock.deadline);
    if (!clash) return success({ ...known, unsettled: true });
    const members = clash.members.map((m) => eased(brief, m));
    return success({ ...known, clash: { ...clash, members } });
  }
  const prices = yield* listening(clock, reason.seeking, () => known, clock.deadline);
  return success({ ...known, prices, unpriced: prices ? null : stopped });
}

/** Why a named hop is not in a blend designed for the brief. Fails where the brief is no problem. */
export function* explainingWithout(
  base: Model,
  brief: Brief,
  blend: Blend,
  hop: string,
  { timeLimitMs, now }: Timing = {},
): Run<null, Outcome<WhyNot>> {
  const model = modelFor(base, brief);
  const clock = new Clock(timeLimitMs, now);
  const stated = yield* heardStating(model, brief, clock, () => null);
  if (!stated.ok) return stated;
  if (brief.minimise === 'closest') {
    const message =
      'the closest match counts no grams or cost, so leaving a hop out has no price in it';
    return failure({ path: 'minimise', message, cure: 'Minimise weight, cost or leaf to ask it' });
  }
  const settling = settlingOf(model, brief, blend.additions);
  const settled = yield* listening(clock, settling, () => null, clock.deadline);
  const designedFor = { model, brief, problem: stated.value, blend };
  const part = reasonWithout(designedFor, settled, hop, clock);
  const found = yield* listening(clock, part, () => null, clock.deadline);
  return found ? success(found) : failure(STOPPED);
}
