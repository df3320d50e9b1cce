// What the screen's thread and the search's thread say to each other. Every request carries an id
// and gets exactly one closing reply with that id, also when it fails or is overtaken.
// Two instances of the thread run: one designs, one answers the questions about what it designed, so
// that no question ever slows a blend.
import type { Blend, DesignAnswer, PointBlend, WhyNot } from '#shared/answers/answer.ts';
import type { Prediction } from '#shared/answers/prediction.ts';
import type { Replacement, Saving, SavingsAnswer, SwapAnswer } from '#shared/answers/comparison.ts';
import type { Tradeoff, TradeoffAnswer, TradeoffPoint } from '#shared/answers/comparison.ts';
import type { SeasonAnswer } from '#shared/answers/season.ts';
import type { Doubt } from '#shared/answers/doubt.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Save, Swap } from '#shared/schemas/asked.ts';
import type { Brief, Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import type { Season } from '#shared/schemas/season.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { TastedBrew } from '#shared/schemas/tastings.ts';
import type { Lesson } from '#engine/learning/learn.ts';
import type { Beside } from '#optimize/questions/by-hand.ts';
import type { NextBatch } from '#optimize/questions/next-batch.ts';
import type { ChanceFinding } from '#optimize/questions/chance-curve.ts';
import type { DesignOptions, DesignProgress } from '#optimize/questions/options.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';
import type { Explanation } from '#optimize/sensitivity/explain.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { AttainableRanges } from '#optimize/live/attainable-range.ts';
import type { SavingProgress } from '#optimize/questions/savings.ts';
import type { Replanned } from '#optimize/questions/replanning.ts';
import type { SeasonProgress } from '#optimize/season/planning.ts';
import type { BesideFirst, Titled } from '#optimize/questions/side-by-side.ts';
import type { SwapProgress } from '#optimize/questions/swap.ts';

/** An answer with what its figures rest on. */
export interface Designed {
  readonly answer: DesignAnswer;
  /** One per blend of the answer. */
  readonly evidence: readonly Evidence[];
}

type WithEvidence<T> = T & { readonly evidence: Evidence };

/** What can be asked about blends, with what comes back on the way and in the end. */
export interface Topics {
  /** Of a shown blend; `designed` where it is the best of its own hops for the brief. */
  readonly explain: {
    question: { readonly brief: Brief; readonly blend: Blend; readonly designed: boolean };
    step: Explanation;
    finding: Explanation;
  };
  readonly why_not: {
    question: { readonly brief: Brief; readonly blend: Blend; readonly hop: string };
    step: null;
    finding: WhyNot;
  };
  /** What moves the axes of a shown blend, and what knowing more would be worth. */
  readonly doubt: {
    question: { readonly brief: Brief; readonly blend: Blend };
    step: null;
    finding: Doubt;
  };
  readonly alternatives: { question: Brief; step: DesignProgress; finding: Designed };
  /** The blend that holds in a share of lots first, the designed one after it. */
  readonly hold: {
    question: { readonly brief: Brief; readonly share: number };
    step: DesignProgress;
    finding: Designed;
  };
  readonly tradeoff: {
    question: { readonly brief: Brief; readonly against: Exclude<Tradeoff, 'chance'> };
    step: { readonly points: number };
    finding: Omit<TradeoffAnswer, 'points'> & {
      readonly points: readonly WithEvidence<TradeoffPoint>[];
    };
  };
  /** What it takes to hold in more lots. */
  readonly chances: {
    question: Brief;
    step: Pick<ChanceFinding, 'chances'>;
    finding: ChanceFinding;
  };
  readonly swap: {
    question: Swap;
    step: SwapProgress;
    finding: Omit<SwapAnswer, 'blends'> & { readonly blends: readonly WithEvidence<Replacement>[] };
  };
  readonly save: {
    question: Save;
    step: SavingProgress;
    finding: Omit<SavingsAnswer, 'blends'> & { readonly blends: readonly WithEvidence<Saving>[] };
  };
  /** What additions made by hand give, against the wishes of the brief: at once, then with bands. */
  readonly predict: {
    question: { readonly brief: Brief; readonly additions: readonly Addition[] };
    step: PointBlend;
    finding: WithEvidence<Blend>;
  };
  /** What a schedule gives, judged by its own odour thresholds. */
  readonly schedule: {
    question: {
      readonly schedule: Schedule;
      /** By the tables alone, whatever tastings taught. */
      readonly untaught: boolean;
    };
    step: null;
    finding: Prediction;
  };
  /** Schedules beside the first of them. */
  readonly side_by_side: {
    question: readonly Titled[];
    step: null;
    finding: readonly BesideFirst[];
  };
  /** What additions made by hand give as the one at a place goes through doses, in grams. */
  readonly along: {
    question: {
      readonly brief: Brief;
      readonly additions: readonly Addition[];
      readonly at: number;
      readonly doses: readonly number[];
    };
    step: null;
    finding: readonly PointBlend[];
  };
  /** The rest of a blend anew around what the brief keeps; a point of miss is worth so much hops. */
  readonly replan: {
    question: { readonly brief: Brief; readonly point_worth_g_per_l: number };
    step: DesignProgress;
    finding: Designed & Pick<Replanned, 'unnoticed'>;
  };
  /** How far each axis can go under a brief's limits, whatever it wishes. */
  readonly reach: { question: Brief; step: null; finding: AttainableRanges };
  /** What batches teach of the tables, whatever was taught before. */
  readonly learn: {
    question: {
      readonly brews: readonly TastedBrew[];
      readonly version: number;
      /** ISO time. */
      readonly made: string;
    };
    step: null;
    finding: Lesson;
  };
  /** A brew changed as little as it can be, so that the wishes hold by what was taught. */
  readonly next_batch: {
    question: { readonly brief: Brief; readonly brewed: readonly Addition[] };
    step: null;
    finding: NextBatch;
  };
  /** Which lots go into which of several batches. */
  readonly season: { question: Season; step: SeasonProgress; finding: SeasonAnswer };
  /** A blend beside the schedule brewed usually. */
  readonly beside: {
    question: {
      readonly brief: Brief;
      readonly additions: readonly Addition[];
      readonly usual: Schedule;
    };
    step: null;
    finding: Beside;
  };
}
export type Topic = keyof Topics;
export type Question<T extends Topic> = Topics[T]['question'];
export type Step<T extends Topic> = Topics[T]['step'];
export type Finding<T extends Topic> = Topics[T]['finding'];

/** A question; a newer one of the same topic overtakes it. */
export type Ask = {
  [T in Topic]: {
    readonly kind: 'ask';
    readonly id: number;
    readonly topic: T;
    readonly question: Question<T>;
  };
}[Topic];

/** Asks for the blend to show while wishes are dragged; gives up the design at work. */
export interface LiveRequest {
  readonly kind: 'live';
  readonly id: number;
  readonly brief: Brief;
  /** Names of the hops of the blend last designed. */
  readonly hops: readonly string[];
}

export type ThreadRequest =
  | {
      readonly kind: 'design';
      readonly id: number;
      readonly brief: Brief;
      readonly options: DesignOptions;
    }
  | LiveRequest
  | Ask
  /** From here on this is what a person brings to the published model. Has no reply. */
  | { readonly kind: 'taught'; readonly knowledge: OwnKnowledge }
  /** Wishes of this brief may be dragged next, `slowly` while a hand moves something else. Has no reply. */
  | {
      readonly kind: 'ready';
      readonly brief: Brief;
      readonly hops: readonly string[];
      readonly slowly: boolean;
    }
  /** Ends the search of that id with the best so far. Its own closing reply answers. */
  | { readonly kind: 'stop'; readonly id: number }
  /** Nobody waits for that question any more. Its own closing reply answers. */
  | { readonly kind: 'forget'; readonly id: number };

/** How a request stands on the way. */
export type StepReply =
  | { readonly kind: 'step'; readonly id: number; readonly step: Step<Topic> }
  | { readonly kind: 'progress'; readonly id: number; readonly progress: DesignProgress };

/** The last of a request. */
export type ClosingReply =
  | { readonly kind: 'finding'; readonly id: number; readonly finding: Finding<Topic> }
  | { readonly kind: 'answer'; readonly id: number; readonly designed: Designed }
  | { readonly kind: 'live'; readonly id: number; readonly blend: LiveBlend }
  /** The brief cannot be designed from; says why and what to change. */
  | { readonly kind: 'refused'; readonly id: number; readonly problems: readonly Problem[] }
  /** Something broke that no brief should break. */
  | { readonly kind: 'failed'; readonly id: number; readonly reason: string }
  /** A newer request came before this one was done. */
  | { readonly kind: 'overtaken'; readonly id: number };

export type Reply = StepReply | ClosingReply;

/** The first thing a thread says. */
export interface Alive {
  readonly kind: 'alive';
  /** Name of the lock it holds until it ends; `null` where the browser has none. */
  readonly lock: string | null;
}
