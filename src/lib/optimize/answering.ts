// A design with what was asked beside it: the reasons behind the blend, and the blend that holds in a
// share of lots. The search itself is in design.ts; here its answer is taken up and added to.
import type { Blend, DesignAnswer, WhyNot } from '#shared/answer.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { designFor } from '#engine/design.ts';
import { modelFor, type Model } from '#engine/model.ts';
import { checked } from './check.ts';
import { clashing } from './conflict.ts';
import type { DesignOptions, DesignProgress } from './contract.ts';
import { contributionsOf } from './contributions.ts';
import { designing } from './design.ts';
import { keptObjective } from './kept.ts';
import { chosenOf, pricing, settledOf, usesOfAdditions } from './prices.ts';
import { problemOf } from './stating.ts';
import type { BlendProblem } from './problem.ts';
import { CLOSENESS_UNPRICED, whyUnpriced } from './explain.ts';
import { buysPackages, withPackages } from './packages.ts';
import { gapOf } from './proof.ts';
import { holding } from './robust.ts';
import { PROVEN_GAP } from './search.ts';
import { finished, Clock, TIME_LIMIT_MS, type Run } from './clock.ts';
import { objectiveOf, type Doses } from './truth.ts';
import { whyNot } from './why-not.ts';

type Answering<T> = Run<DesignProgress, T>;
type Why = { -readonly [K in keyof DesignAnswer['why']]: DesignAnswer['why'][K] };

/** Longest work between two snapshots, ms. */
const SLICE_MS = 8;

/** Runs a part to its end, repeating the last snapshot; `null` where it was stopped. */
function* listening<T>(
  clock: Clock,
  part: Generator<undefined, T>,
  last: DesignProgress | null,
): Answering<T | null> {
  let heard = performance.now();
  for (let step = part.next(); ; step = part.next()) {
    if (step.done) return step.value;
    if (!last || performance.now() - heard < SLICE_MS) continue;
    if ((yield { ...last, milliseconds: clock.milliseconds }) === 'stop') clock.stopped = true;
    if (clock.stopped) return null;
    heard = performance.now();
  }
}

/** The doses of a blend shown, in the columns of the brief's problem. */
function dosesOf(problem: BlendProblem, brief: Brief, blend: Blend): Doses {
  const chosen = chosenOf(brief, blend.additions);
  const uses = usesOfAdditions(problem, chosen);
  return withPackages(problem, { uses, doses: chosen.map((a) => a.grams / problem.beerL) });
}

/** `designing` with the options `explain` and `holdInShare`. */
export function* answering(
  base: Model,
  brief: Brief,
  options: DesignOptions = {},
): Answering<Outcome<DesignAnswer>> {
  const model = modelFor(base, brief);
  const clock = new Clock(options.timeLimitMs);
  const limit = options.timeLimitMs ?? TIME_LIMIT_MS;
  const search = designing(model, brief, options);
  let last: DesignProgress | null = null;
  let step = search.next();
  while (!step.done) {
    last = step.value;
    const signal = yield last;
    if (signal === 'stop') clock.stopped = true;
    step = search.next(signal);
  }
  if (!step.value.ok || (!options.explain && options.holdInShare === undefined)) return step.value;
  let answer = step.value.value;
  const why: Why = { ...answer.why };
  const stated = problemOf(model, brief);
  if (!stated.ok) return stated;
  const problem = stated.value;
  const central = answer.blends[0]!;
  const until = () => performance.now() + limit;

  if (options.explain && !clock.stopped) {
    yield* explained(model, brief, problem, answer, options, why, clock, last, until());
  }
  if (options.holdInShare !== undefined) {
    const share = options.holdInShare;
    const seek = () =>
      holding(model, brief, dosesOf(problem, brief, central), answer.lower_bound, share, until());
    const wanted = brief.minimise !== 'closest' && !buysPackages(problem);
    const possible = wanted && answer.status !== 'closest' && !clock.stopped;
    const found = possible ? yield* listening(clock, seek(), last) : null;
    if (!found) {
      const barred = buysPackages(problem)
        ? 'whole packages are paid for'
        : 'the closest match is asked for';
      const met = wanted ? 'no blend meets the wishes at all' : barred;
      const reason = possible || clock.stopped ? 'stopped' : met;
      why.notes = [...why.notes, `No blend was sought that holds in a share of lots: ${reason}`];
    } else {
      why.hold = found.hold;
      const objective = keptObjective(problem.kept, brief) + objectiveOf(problem, found.doses);
      const gap = gapOf(objective, found.lower_bound);
      const { reached } = found.hold;
      const status = reached && gap <= PROVEN_GAP ? 'optimal' : 'within_gap';
      const proof = { status, lower_bound: found.lower_bound, gap } as const;
      const { blend } = checked(model, brief, problem, found.doses, options.band);
      const before = { status: answer.status, lower_bound: answer.lower_bound, gap: answer.gap };
      const [, ...others] = answer.blends;
      const blends = [{ ...blend, proof }, { ...central, proof: before }, ...others];
      answer = { ...answer, ...proof, blends };
      if (!reached) {
        why.notes = [...why.notes, 'No blend was found that holds in the share of lots asked for'];
      }
    }
  }
  if (options.explain) {
    const shown = designFor(model, brief, answer.blends[0]!.additions);
    if (shown.ok) why.contributions = contributionsOf(model, shown.value);
  }
  return success({ ...answer, milliseconds: clock.milliseconds, why });
}

function* explained(
  model: Model,
  brief: Brief,
  problem: BlendProblem,
  answer: DesignAnswer,
  options: DesignOptions,
  why: Why,
  clock: Clock,
  last: DesignProgress | null,
  until: number,
): Answering<void> {
  const blend = answer.blends[0]!;
  const note = (text: string) => (why.notes = [...why.notes, text]);
  if (brief.minimise === 'closest') {
    note(CLOSENESS_UNPRICED);
    return;
  }
  if (answer.status === 'closest') {
    const clash = yield* listening(clock, clashing(model, brief, until), last);
    if (clash) why.clash = clash;
    else note('Which wishes and limits clash was not settled in time');
    return;
  }
  const settled = settledOf(model, brief, blend.additions);
  if (settled) {
    const prices = yield* listening(clock, pricing(settled), last);
    if (prices) why.prices = prices;
  } else note(whyUnpriced(model, brief));
  const objective =
    keptObjective(problem.kept, brief) + objectiveOf(problem, dosesOf(problem, brief, blend));
  const found: WhyNot[] = [];
  for (const hop of options.explain?.whyNot ?? []) {
    const part = whyNot(model, brief, problem, blend, settled, objective, hop, until);
    const reason = yield* listening(clock, part, last);
    if (reason) found.push(reason);
  }
  if (found.length > 0) why.why_not = found;
}

/** Runs a design to its end, with what was asked beside it. */
export function answered(
  model: Model,
  brief: Brief,
  options: DesignOptions = {},
): Outcome<DesignAnswer> {
  return finished(answering(model, brief, options));
}
