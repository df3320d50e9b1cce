// The way from a brief to an answer: state the problem, find the best blend, then as many others as
// are asked for; every blend shown is predicted anew by the engine before a word is said about it.
import type { DesignAnswer, Proof } from '#shared/answers/answer.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { varietiesOf } from '#optimize/search/alternatives.ts';
import { OtherBlends, ranked, type Ranked } from '#optimize/search/other-blends.ts';
import {
  designingBest,
  NOTHING_FOUND,
  wantsClosest,
  type BestBlend,
  type Designing,
  type DesignJob,
} from './best-blend.ts';
import { withBeerPriced } from '#optimize/problem/beer-held.ts';
import { checking } from '#optimize/problem/check.ts';
import { completed, finished, run, Clock } from '#optimize/pacing/clock.ts';
import { BLENDS_MAX, type DesignOptions, type DesignProgress } from './options.ts';
import { fixedObjective } from '#optimize/problem/fixed-additions.ts';
import { bestAsNear, proofOfNearest } from '#optimize/search/nearest.ts';
import { proofOf } from '#optimize/search/proof.ts';
import { heardStating } from '#optimize/problem/stating.ts';
import { weighable } from '#optimize/problem/weighable.ts';
import { objectiveOf, worstMiss } from '#optimize/problem/evaluation.ts';

/** Share of the time given to the best blend where alternatives are asked for. */
const BEST_SHARE = 0.5;

/**
 * Designs the best blend for a brief, a slice at a time. Yields a snapshot at every better blend and
 * at least every few milliseconds; send 'stop' to end with the best so far and its honest gap.
 *
 * `optimal`: proven within 0.1 % or one weighing step over all dry-hop loads; of equally good blends
 * the one of fewer hops, then the cheaper (see ties.ts). `within_gap`: the time or
 * the nodes allowed ran out. `closest`: no blend meets the wishes; this one has the least worst miss, in
 * intensity, with the bitterness window widened by 5 IBU per intensity, and is the best found of those.
 * A window too narrow for whole weighing steps is widened, and a note says so (see weighable.ts),
 * unless `exactWindows` are asked for.
 * Where the brief minimises `closest`, the largest distance from an aim itself is what is proven
 * least, all limits kept; the status is then as for any figure, the bound is in intensity.
 * With `alternatives` further blends follow, each with its own proof (see other-blends.ts).
 * Fails when the brief cannot be read as a problem, or when its hard limits clash.
 */
export function* designing(
  base: Model,
  given: Brief,
  options: DesignOptions = {},
): Designing<Outcome<DesignAnswer>> {
  const { brief, notes } = options.exactWindows ? { brief: given, notes: [] } : weighable(given);
  const model = modelFor(base, brief);
  const clock = new Clock(options.timeLimitMs, options.now);
  const reading = () => ({ ...NOTHING_FOUND, milliseconds: clock.milliseconds });
  const stated = yield* heardStating(model, brief, clock, reading);
  if (!stated.ok) return stated;
  const { beerPricePerL: beer } = options;
  const problem = beer ? withBeerPriced(model, brief, stated.value, beer) : stated.value;
  const job: DesignJob = { model, brief, options, problem, clock };
  const count = Math.min(BLENDS_MAX, options.alternatives ?? 1);
  const { started, deadline } = clock;
  const until = count > 1 ? started + (deadline - started) * BEST_SHARE : deadline;
  const found = yield* designingBest(job, until);
  if (!found.ok) return found;
  const answer = count < 2 ? found.value.answer : yield* designingOthers(job, found.value, count);
  const why = { ...answer.why, notes: [...notes, ...answer.why.notes] };
  return success({ ...answer, why });
}

/** Adds blends without the main hops of the ones before, until there are `count`. */
function* designingOthers(
  job: DesignJob,
  first: BestBlend,
  count: number,
): Designing<DesignAnswer> {
  const { model, brief, options, clock } = job;
  const { answer: found, problem } = first;
  const goal = found.status === 'closest' || wantsClosest(job) ? 'slack' : 'objective';
  const base = goal === 'objective' ? fixedObjective(problem.fixed, brief) : 0;
  const progress = (settled: number): DesignProgress => ({
    best: found.blends[0]!.additions,
    objective: goal === 'objective' ? base + objectiveOf(problem, first.doses) : null,
    lower_bound: goal === 'objective' ? found.lower_bound : 0,
    gap: goal === 'objective' ? found.gap : 1,
    milliseconds: clock.milliseconds,
    settled,
  });
  const { status, lower_bound, gap } = found;
  const others = new OtherBlends(problem, goal);
  let blends: Ranked[] = [
    {
      blend: found.blends[0]!,
      proof: { status, lower_bound, gap },
      figure:
        goal === 'objective'
          ? base + objectiveOf(problem, first.doses)
          : worstMiss(problem, first.doses),
      varieties: varietiesOf(problem, first.doses),
      main: others.close(first.doses, lower_bound - base),
    },
  ];
  const notes = [...found.why.notes];
  const possible = goal === 'objective' ? 'meets all wishes' : 'is possible';
  while (blends.length < count) {
    const left = Math.max(0, clock.deadline - clock.now());
    const until = clock.now() + left / (count - blends.length);
    const { search } = others;
    if (!clock.over) yield* run(clock, search, until, () => progress(blends.length));
    const { choice, state } = search;
    if (!choice) {
      if (!state.done) {
        notes.push('The search ended before a further blend was found');
        break;
      }
      const { without } = others;
      const hops = without.length > 0 ? ` without ${without.join(', ')}` : '';
      notes.push(`No further blend ${possible}${hops}`);
      if (!others.keepLast()) break;
      continue;
    }
    let { doses } = choice;
    const { merit, tolerance } = choice;
    if (goal === 'slack') {
      const how = { clock, until, progress: () => progress(blends.length) };
      doses = yield* bestAsNear(choice.problem, { doses, miss: merit }, how);
    }
    const { bound } = state;
    const nearest = proofOfNearest({ miss: merit, bound, tolerance });
    const proof: Proof =
      goal === 'objective'
        ? proofOf({ incumbent: choice, bound, tolerance }, base)
        : { ...nearest, ...(found.status === 'closest' && { status: 'closest' }) };
    const judging = checking(model, brief, problem, doses, options.band);
    const { blend } = yield* completed(clock, judging, () => progress(blends.length));
    const varieties = varietiesOf(problem, doses);
    const figure = goal === 'objective' ? base + merit : worstMiss(problem, doses);
    const main = others.close(doses, bound);
    blends = ranked(blends, { blend, proof, figure, varieties, main });
  }
  return {
    ...found,
    ...blends[0]!.proof,
    milliseconds: clock.milliseconds,
    blends: blends.map(({ blend, proof }) => ({ ...blend, proof })),
    why: { ...found.why, notes },
  };
}

/** Runs a design to its end. */
export function design(
  model: Model,
  brief: Brief,
  options: DesignOptions = {},
): Outcome<DesignAnswer> {
  return finished(designing(model, brief, options));
}
