// What is shown while somebody drags a wish: the blend of free doses for the wishes as they stand, at
// once. First the hops of the blend last designed, dosed anew: bars grow and shrink and stay where they
// are. Only where these hops cannot meet the wishes, or would need a quarter more of what is minimised
// than all hops would, all hops come in; and where those cannot either, the closest blend is shown, of
// the same hops if they come about as close. Depends on brief, wishes and hops alone, never on the way
// the finger took. Free doses know no count of hops, least addition or weighing step, and their load is
// found, not proven: the answer that follows on release is the exact one.
import { AXES, COMPOUNDS, type AxisId, type CompoundId } from '#shared/ids.ts';
import type { AxisAnswer, Blend, CompoundAnswer } from '#shared/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief, Target } from '#shared/schemas/brief.ts';
import { intensityOf } from '#engine/aroma.ts';
import { nameKey } from '#engine/composition.ts';
import type { Design } from '#engine/design.ts';
import type { Model } from '#engine/model.ts';
import { defaultWorld, predictPoint, totalsOf } from '#engine/predict.ts';
import { additionsOf, judged } from './check.ts';
import { clashOf } from './clash.ts';
import { Continuous, type FreeBlend } from './continuous.ts';
import { problemOf, windowOf, type AxisRow, type BlendProblem } from './problem.ts';
import { restrictedTo } from './restrict.ts';
import { loadOf, type Doses } from './truth.ts';

/** The same hops stay until they need this many times what all hops would. A judgement. */
const SAME_HOPS_UP_TO = 1.25;
/** The same hops stay the closest until they miss by so much more than all hops would, intensity. */
const SAME_HOPS_WITHIN = 0.05;
/** Among blends that come this close to the closest, the best is shown, in intensity. */
const CLOSEST_ROOM = 0.005;

/** A blend of free doses as the engine predicts it, without bands. */
export interface LiveBlend extends Pick<
  Blend,
  'additions' | 'totals' | 'worst_miss' | 'misses'
> {
  readonly compounds: Readonly<Record<CompoundId, Pick<CompoundAnswer, 'ug_per_l' | 'oav'>>>;
  readonly axes: Readonly<Record<AxisId, Pick<AxisAnswer, 'intensity' | 'signal'>>>;
  /** Whether all wishes and limits hold, but for count of hops, least addition and weighing step. */
  readonly meets: boolean;
  /** Whether it is made of the hops of the blend last designed. */
  readonly same_hops: boolean;
  /** Varieties chosen beyond `limits.hops_at_most`. */
  readonly hops_over: number;
}

interface Pick_ {
  readonly blend: FreeBlend;
  readonly sameHops: boolean;
}

/** A brief but for its wishes, ready to be asked with one set of wishes after another. */
export class LiveBrief {
  readonly #model: Model;
  readonly #brief: Brief;
  readonly #problem: BlendProblem;
  readonly #all: Continuous;
  #hops: {
    readonly key: string;
    readonly free: Continuous;
    readonly problem: BlendProblem;
    readonly inWhole: (doses: Doses) => Doses;
  } | null = null;

  private constructor(model: Model, brief: Brief, problem: BlendProblem) {
    this.#model = model;
    const { hops_at_most: _hops, smallest_addition_g: _least, weigh_step_g: _step, ...limits } =
      brief.limits;
    this.#brief = { ...brief, limits };
    this.#problem = { ...problem, hopsAtMost: problem.varieties.length };
    this.#all = new Continuous(problem);
  }

  /** Fails as `designing` does where nothing can be asked. */
  static of(model: Model, brief: Brief): Outcome<LiveBrief> {
    const target = Object.fromEntries(AXES.map((axis) => [axis, { at_least: 0 }]));
    const stated = problemOf(model, { ...brief, target });
    return stated.ok ? success(new LiveBrief(model, brief, stated.value)) : stated;
  }
}
