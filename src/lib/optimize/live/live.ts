// What the page shows while a person drags a wish: the blend of free doses for the wishes as they stand.
// Free doses obey no count of hops, forms or additions, no least addition and no weighing step, and their dry-hop
// load is not proven the best: on release the search gives the exact answer.
import { AXES } from '#shared/ids.ts';
import type { PointBlend } from '#shared/answers/answer.ts';
import { success, type Outcome } from '#shared/outcome.ts';
import { type Brief, type Target } from '#shared/schemas/brief.ts';
import { withoutCounts } from '#shared/schemas/limit-counts.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Model } from '#engine/tables/model.ts';
import { additionsOf, checkedPoint } from '#optimize/problem/check.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import { refusing } from '#optimize/search/clash.ts';
import { Continuous, type ClosestBlend, type FreeBlend } from './continuous.ts';
import { fewerLots } from './long-lists.ts';
import type { AxisRow, BlendProblem } from '#optimize/problem/problem.ts';
import { restrictedTo } from '#optimize/problem/restrict.ts';
import { stating } from '#optimize/problem/stating.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import { soughtBy } from '#optimize/problem/windows.ts';

/** The same hops stay until they need this many times what all hops would. A judgement. */
const SAME_HOPS_UP_TO = 1.25;
/** The same hops stay the closest until they miss by so much more than all hops would, intensity. */
const SAME_HOPS_WITHIN = 0.05;
/** Among blends that come this close to the closest, the best is shown, in intensity. */
const CLOSEST_ROOM = 0.005;
/** Relative miss that counts as rounding: what the warm simplex may leave. */
const ROUNDING = 1e-5;

/** A blend of free doses as the engine predicts it; no band is drawn in so short a time. */
export interface LiveBlend extends PointBlend {
  /** Whether all wishes and limits hold, but for counts, least addition and weighing step. */
  readonly meets: boolean;
  /** Whether it is made of the hops of the blend last designed. */
  readonly same_hops: boolean;
  /** Varieties chosen beyond `limits.hops_at_most`. */
  readonly hops_over: number;
}

/** The problem cut to the hops of the blend last designed. */
interface SameHops {
  readonly key: string;
  readonly problem: BlendProblem;
  readonly free: Continuous;
  readonly inWhole: (doses: Doses) => Doses;
}

/**
 * A brief without its wishes, ready to answer one set of wishes after another. It first doses the hops of the blend
 * last designed anew, so that the bars on the page stay where they are. It lets all hops in only where these cannot
 * meet the wishes or need a quarter more of what is minimised than all hops do. Where all hops cannot meet them
 * either, it gives the closest blend, of the same hops if they come about as close. An answer depends on the brief,
 * the wishes and the hops of the last blend, not on the path of the drag.
 */
export class LiveBrief {
  readonly #model: Model;
  /** Without the limits that free doses know nothing of. */
  readonly #brief: Brief;
  readonly #hopsAtMost: number;
  readonly #problem: BlendProblem;
  readonly #all: Continuous;
  #same: SameHops | null = null;

  private constructor(model: Model, brief: Brief, problem: BlendProblem) {
    const { limits } = brief;
    const free = withoutCounts(limits);
    delete free.smallest_addition_g;
    delete free.weigh_step_g;
    this.#model = model;
    this.#brief = { ...brief, limits: free };
    this.#hopsAtMost = limits.hops_at_most ?? Infinity;
    this.#problem = problem;
    this.#all = new Continuous(problem);
  }

  /** Gets a brief ready, whatever it wishes for. Fails as `designing` does where nothing can be asked. */
  static *of(model: Model, brief: Brief): Resting<Outcome<LiveBrief>> {
    const target = Object.fromEntries(AXES.map((axis) => [axis, { at_least: 0 }]));
    const { candidates } = brief;
    const few = candidates === 'table' ? candidates : [...fewerLots(candidates)];
    const stated = yield* stating(model, { ...brief, candidates: few, target });
    return stated.ok ? success(new LiveBrief(model, brief, stated.value)) : stated;
  }

  /**
   * The blend to show for these wishes. Fails where the hard limits leave no blend at all.
   * @param hops names of the hops of the blend last designed.
   */
  *blendFor(target: Target, hops: readonly string[]): Resting<Outcome<LiveBlend>> {
    const found = yield* this.#found(target, hops);
    yield;
    return found ? success(this.#predicted(target, found)) : yield* refusing(this.#problem);
  }

  /** The best doses of all hops, and whether they meet the wishes; `null` where nothing is allowed. */
  *freely(target: Target): Resting<ClosestBlend | null> {
    const asked = withWishes(this.#problem, target);
    const best = yield* this.#all.best(asked);
    return best ? { ...best, miss: 0 } : yield* this.#all.closest(asked, CLOSEST_ROOM);
  }

  *#found(
    target: Target,
    hops: readonly string[],
  ): Resting<{ readonly doses: Doses; readonly same: boolean } | null> {
    const same = this.#sameHops(hops);
    const all = yield* this.freely(target);
    if (!all) return null;
    if (same) {
      const asked = withWishes(same.problem, target);
      const own = yield* nearby(same.free, asked, all);
      if (own) return { doses: same.inWhole(own.doses), same: true };
    }
    return { doses: all.doses, same: false };
  }

  #sameHops(hops: readonly string[]): SameHops | null {
    const keys = hops.map(nameKey);
    const key = keys.join('|');
    if (this.#same?.key === key) return this.#same;
    const chosen = this.#problem.varieties.flatMap((v, i) =>
      keys.includes(nameKey(v)) ? [i] : [],
    );
    if (chosen.length === 0) return null;
    const { problem, inWhole } = restrictedTo(this.#problem, chosen);
    this.#same = { key, problem, inWhole, free: new Continuous(problem) };
    return this.#same;
  }

  #predicted(target: Target, { doses, same }: { doses: Doses; same: boolean }): LiveBlend {
    const model = this.#model;
    const brief = { ...this.#brief, target };
    const additions = additionsOf(this.#problem, brief, doses);
    const blend = checkedPoint(model, brief, additions, ROUNDING);
    const varieties = new Set(doses.columns.map((j) => this.#problem.columns[j]!.variety));
    return {
      ...blend,
      meets: blend.misses.length === 0,
      same_hops: same,
      hops_over: Math.max(0, varieties.size - this.#hopsAtMost),
    };
  }
}

/** The best or closest blend of the same hops, where it is about as good as that of all hops. */
function* nearby(
  same: Continuous,
  asked: BlendProblem,
  all: ClosestBlend,
): Resting<FreeBlend | null> {
  if (all.miss === 0) {
    const own = yield* same.best(asked);
    return own && own.objective <= all.objective * SAME_HOPS_UP_TO ? own : null;
  }
  const own = yield* same.closest(asked, CLOSEST_ROOM);
  return own && own.miss <= all.miss + SAME_HOPS_WITHIN ? own : null;
}

/** The problem with the windows of these wishes; an axis that is not wished for is free. */
function withWishes(problem: BlendProblem, target: Target): BlendProblem {
  const axes = problem.axes.map((row): AxisRow => {
    const wish = target[row.axis];
    return wish
      ? { ...row, wish, ...soughtBy(wish, problem.minimise) }
      : { ...row, low: -Infinity, high: Infinity };
  });
  return { ...problem, axes };
}

/** Whether two parts of documents say the same. */
function alike(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || !a || !b) return false;
  const [one, other] = [a as Record<string, unknown>, b as Record<string, unknown>];
  const keys = Object.keys(one);
  if (keys.length !== Object.keys(other).length) return false;
  return keys.every((key) => alike(one[key], other[key]));
}

/** The brief whose wishes are dragged, kept ready until another one comes. */
export class NewestLiveBrief {
  readonly #model: Model;
  /** The brief but for its name and wishes. */
  #rest: object | null = null;
  #ready: Outcome<LiveBrief> | null = null;

  constructor(model: Model) {
    this.#model = model;
  }

  /** As `LiveBrief.blendFor`, for the wishes of this brief. */
  *blendFor(brief: Brief, hops: readonly string[]): Resting<Outcome<LiveBlend>> {
    const { target, name: _name, ...rest } = brief;
    if (!this.#ready || !alike(rest, this.#rest)) {
      this.#ready = null;
      this.#ready = yield* LiveBrief.of(this.#model, brief);
      this.#rest = rest;
    }
    const ready = this.#ready;
    return ready.ok ? yield* ready.value.blendFor(target, hops) : ready;
  }
}
