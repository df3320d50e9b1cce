// How each question about blends is answered: which search runs, what it reports of its progress, and what its blends
// rest on.
import type { Blend } from '#shared/answers/answer.ts';
import type { Prediction } from '#shared/answers/prediction.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Doubt } from '#shared/answers/doubt.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { predicting } from '#engine/answer/answer.ts';
import { designFor, designOf } from '#engine/predict/design.ts';
import { modelFor, type Model } from '#engine/tables/model.ts';
import { doubting } from '#engine/doubt/tornado.ts';
import { learningFrom } from '#engine/learning/brews.ts';
import type { Lesson } from '#engine/learning/learn.ts';
import { answering } from '#optimize/questions/answering.ts';
import { curving } from '#optimize/questions/chance-curve.ts';
import { comparing, foreseeing, foreseeingAlong } from '#optimize/questions/by-hand.ts';
import { nextBatch } from '#optimize/questions/next-batch.ts';
import { BLENDS_MAX } from '#optimize/questions/options.ts';
import { designing } from '#optimize/questions/design.ts';
import { evidenceOf, type Evidence } from '#engine/evidence/evidence.ts';
import { explaining, explainingWithout } from '#optimize/sensitivity/explain.ts';
import type { Ask, Designed, Finding, Question, Step, Topic } from './protocol.ts';
import { reaching } from '#optimize/live/attainable-range.ts';
import { replanning } from '#optimize/questions/replanning.ts';
import { planning } from '#optimize/season/planning.ts';
import { saving } from '#optimize/questions/savings.ts';
import { Clock, listening, STOPPED, type Resting, type Run } from '#optimize/pacing/clock.ts';
import { sideBySide } from '#optimize/questions/side-by-side.ts';
import { swapping } from '#optimize/questions/swap.ts';
import { tradingOff } from '#optimize/questions/tradeoff.ts';
import type { DesignAnswer } from '#shared/answers/answer.ts';

export type QuestionRun = Run<Step<Topic>, Outcome<Finding<Topic>>>;

/** An answer with what the figures of its blends rest on. */
export function described(model: Model, answer: DesignAnswer): Designed {
  const evidence = answer.blends.map((blend) => evidenceOf(model, blend.additions));
  return { answer, evidence };
}

/** Runs a search, its progress and its result put as the page takes them. */
function* translated<P, R, Q, S>(
  search: Run<P, Outcome<R>>,
  step: (progress: P) => Q,
  finding: (result: R) => S,
): Run<Q, Outcome<S>> {
  let next = search.next();
  while (!next.done) next = search.next(yield step(next.value));
  return next.value.ok ? success(finding(next.value.value)) : next.value;
}

/** What moves a shown blend; there is nothing to report on the way. */
function* doubtsOf(base: Model, brief: Brief, blend: Blend): Run<null, Outcome<Doubt>> {
  const model = modelFor(base, brief);
  const shown = designFor(model, brief, blend.additions);
  if (!shown.ok) return shown;
  return yield* whole(doubting(model, shown.value));
}

/** What a schedule gives, of the model before anything was learned where that is asked. */
function* scheduled(
  taught: Model,
  { schedule, untaught }: Question<'schedule'>,
): Run<null, Outcome<Prediction>> {
  const model = modelFor((untaught && taught.plain) || taught, schedule);
  const design = designOf(model, schedule);
  return design.ok ? yield* whole(predicting(model, design.value)) : design;
}

/** A part to its end. Fails where it is stopped before: a part has no answer of its own. */
function* whole<T>(part: Resting<T>): Run<null, Outcome<T>> {
  for (let step = part.next(); ; step = part.next()) {
    if (step.done) return success(step.value);
    if ((yield null) === 'stop') return failure(STOPPED);
  }
}

/** A part that is heard in after every slice. Fails where it is stopped: it has no answer half-way. */
function* heard<T>(part: Resting<Outcome<T>>): Run<null, Outcome<T>> {
  return (yield* listening(new Clock(Infinity), part, () => null)) ?? failure(STOPPED);
}

/** What batches teach. */
function* learning(
  model: Model,
  { brews, ...named }: Question<'learn'>,
): Run<null, Outcome<Lesson>> {
  return yield* heard(learningFrom(model.plain ?? model, brews, named));
}

/** Opens the search that answers a question. */
export function opened(model: Model, ask: Ask): QuestionRun {
  const rested = <B extends Pick<Blend, 'additions'>>(blend: B): B & { evidence: Evidence } => ({
    ...blend,
    evidence: evidenceOf(model, blend.additions),
  });
  const same = <P>(value: P): P => value;
  switch (ask.topic) {
    case 'explain': {
      const { brief, blend, designed } = ask.question;
      return explaining(model, brief, blend, designed);
    }
    case 'why_not': {
      const { brief, blend, hop } = ask.question;
      return explainingWithout(model, brief, blend, hop);
    }
    case 'doubt': {
      const { brief, blend } = ask.question;
      return doubtsOf(model, brief, blend);
    }
    case 'alternatives': {
      const search = designing(model, ask.question, { alternatives: BLENDS_MAX });
      return translated(search, same, (answer) => described(model, answer));
    }
    case 'hold': {
      const { brief, share } = ask.question;
      const search = answering(model, brief, { holdInShare: share });
      return translated(search, same, (answer) => described(model, answer));
    }
    case 'tradeoff': {
      const { brief, against } = ask.question;
      return translated(
        tradingOff(model, brief, against),
        ({ points }) => ({ points }),
        (answer) => ({
          ...answer,
          points: answer.points.map((p) => ({
            ...p,
            evidence: evidenceOf(model, p.blend.additions),
          })),
        }),
      );
    }
    case 'chances':
      return translated(curving(model, ask.question), ({ chances }) => ({ chances }), same);
    case 'swap':
      return translated(swapping(model, ask.question), same, (answer) => ({
        ...answer,
        blends: answer.blends.map(rested),
      }));
    case 'predict': {
      const { brief, additions } = ask.question;
      return translated(foreseeing(model, brief, additions), same, rested);
    }
    case 'schedule':
      return scheduled(model, ask.question);
    case 'side_by_side':
      return sideBySide(model, ask.question);
    case 'along': {
      const { brief, additions, at, doses } = ask.question;
      return foreseeingAlong(model, brief, additions, at, doses);
    }
    case 'replan': {
      const { brief, point_worth_g_per_l: worth } = ask.question;
      return translated(replanning(model, brief, worth), same, ({ answer, unnoticed }) => ({
        ...described(model, answer),
        unnoticed,
      }));
    }
    case 'beside': {
      const { brief, additions, usual } = ask.question;
      return comparing(model, brief, additions, usual);
    }
    case 'learn':
      return learning(model, ask.question);
    case 'next_batch':
      return heard(nextBatch(model, ask.question.brief, ask.question.brewed));
    case 'season':
      return planning(model, ask.question);
    case 'reach':
      return reaching(model, ask.question);
    case 'save':
      return translated(saving(model, ask.question), same, (answer) => ({
        ...answer,
        blends: answer.blends.map(rested),
      }));
  }
}
