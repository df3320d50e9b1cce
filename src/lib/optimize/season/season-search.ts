// Branch and price over a season: the plan that counts least, and what every plan counts at least. A node
// decides which hops a batch uses, how much of a lot, how many packages are bought; its bound is what all
// batches cost on their own where each pays for the shared lots, whatever the prices (Lagrange). The prices
// come from mixtures of blends known so far; asked by them, each batch answers by its own exact search.
import { Effort, type Resting, type Work } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { stepObjective } from '#optimize/problem/objectives.ts';
import { PROVEN_GAP } from '#optimize/search/incumbent.ts';
import { bestOf, blendOf, decided, keeps, priced, type BatchBlend } from './batch-blend.ts';
import type { BatchDecision } from './batch-blend.ts';
import { splitOf } from './season-branching.ts';
import { completed } from './season-completing.ts';
import { lotsBound, mixed, type Mixture, type PackageRange } from './season-master.ts';
import { combined, leastLacking, planOf, pricedOf, type Plan } from './season-plan.ts';
import { isShared, type SeasonProblem } from './season-problem.ts';

/** `objective`: least of what the season minimises; `lacking`: fewest grams beyond what there is. */
export type SeasonGoal = 'objective' | 'lacking';

/** Gap of `lacking` that counts as proven, g. */
const PROVEN_LACKING_G = 1e-3;
/** What a gram beyond what there is counts at first, in costs of the dearest gram of a blend; and at most. */
const LACKING_COST = 3;
const LACKING_COST_MOST = 1e5;
/** Rounds of prices at a node. */
const ROUNDS_MOST = 60;
/** Share of the best prices so far in those asked next: they would swing otherwise (Wentges 1997). */
const STEADY = 0.5;
/** Gap to which a batch is searched at first, in parts of the gap that counts as proven for all; and last. */
const COARSE = 4;
/** Share of the gap to the best plan that a mixture may be above the bound before plans are looked for. */
const ENOUGH = 0.25;
const FINE = 0.25;
/** Nodes of the search of one batch at one price. */
const BATCH_NODES = 100;
/** Nodes left out at most after those near which no better plan was found. */
const LEFT_OUT_MOST = 4;
const UNASKED: PlanNode['least'] = [];

export interface PlanNode {
  /** By batch. */
  readonly decisions: readonly (readonly BatchDecision[])[];
  readonly ranges: ReadonlyMap<number, PackageRange>;
  readonly problems: readonly BlendProblem[];
  readonly bound: number;
  readonly prices: Float64Array;
  /** By batch, what it counts at least at these prices; `null` where it was not asked yet. */
  readonly least: readonly (number | null)[];
}

export class SeasonSearch implements Work {
  incumbent: Plan | null = null;
  /** Nodes looked at, and searches of one batch. */
  nodes = 0;
  asked = 0;
  readonly season: SeasonProblem;
  readonly goal: SeasonGoal;
  /** Blends known of each batch. */
  readonly pool: BatchBlend[][];
  readonly #known: Set<string>[];
  readonly #shared: readonly number[];
  readonly #effort = new Effort();
  readonly #work: Resting<void>;
  readonly #open: PlanNode[] = [];
  /** Bound of the node at work, and the least of those dropped. */
  #at = 0;
  #dropped = Infinity;
  #over = false;
  /** Gap to which batches are searched now, in parts of the gap that counts as proven. */
  #closeness = COARSE;
  #lackingCost: number;
  /** What one weighing step counts at least, in all batches; 0 where one of them takes any dose. */
  readonly #step: number;
  /** Nodes near which no new plan is looked for now, and since when it was left out. */
  #leftOut = 0;
  #waited = 0;
  /** Whether the first mixture takes more than there is: then there may be no plan. */
  isSuspect = false;

  /** @param pool blends known of each batch. */
  constructor(
    season: SeasonProblem,
    goal: SeasonGoal,
    pool: readonly (readonly BatchBlend[])[] = [],
  ) {
    this.season = season;
    this.goal = goal;
    this.pool = season.blocks.map(() => []);
    this.#known = season.blocks.map(() => new Set());
    pool.forEach((blends, b) => blends.forEach((blend) => void this.#keep(b, blend)));
    this.#shared = season.lots.flatMap((lot, l) => (isShared(lot) ? [l] : []));
    const dearest = season.blocks.reduce(
      (most, { problem: { objective, beerL } }) =>
        objective.reduce((m, c) => Math.max(m, c / beerL), most),
      0,
    );
    const steps = season.blocks.map(({ problem }) => stepObjective(problem).cheapest);
    this.#step = Math.min(...steps);
    this.#lackingCost = goal === 'lacking' ? 1 : LACKING_COST * (dearest || 1);
    this.#work = this.#working();
  }

  get #ownCounts(): boolean {
    return this.goal === 'objective';
  }

  /** What is to be least of a plan; infinite for one that takes more than there is. */
  measure(plan: Plan): number {
    if (this.goal === 'lacking') return plan.lacking;
    return plan.lacking > 0 ? Infinity : plan.worth;
  }

  /** Figure of the best plan. */
  get merit(): number {
    return this.incumbent ? this.measure(this.incumbent) : Infinity;
  }

  /** Gap that counts as proven. */
  get tolerance(): number {
    const { merit } = this;
    if (this.goal === 'lacking')
      return Math.max(PROVEN_LACKING_G, merit < Infinity ? PROVEN_GAP * merit : 0);
    return Math.max(PROVEN_GAP * (merit < Infinity ? merit : this.#leastKnown), this.#step);
  }

  /** How far the mixture may be above the bound where plans are looked for rather than better prices. */
  get #enough(): number {
    return Math.max(
      this.tolerance / 2,
      ENOUGH * (this.merit - this.bound < Infinity ? this.merit - this.bound : 0),
    );
  }

  /** What the cheapest known blends come to. */
  get #leastKnown(): number {
    return this.pool.reduce(
      (sum, own) => sum + own.reduce((m, b) => Math.min(m, b.own), Infinity),
      0,
    );
  }

  /** Proven: no plan is below this; infinite where there is none. */
  get bound(): number {
    const open = this.#open.reduce((least, node) => Math.min(least, node.bound), Infinity);
    const at = this.#over ? Infinity : this.#at;
    return Math.min(open, at, this.#dropped, this.merit);
  }

  step(): boolean {
    if (!this.#over) this.#over = this.#work.next().done === true;
    return !this.#over;
  }

  /** Takes a plan known from elsewhere. */
  offer(plan: Plan): boolean {
    if (!(this.measure(plan) < this.merit)) return false;
    this.incumbent = plan;
    plan.blends.forEach((blend, b) => void this.#keep(b, blend));
    return true;
  }

  /** Keeps a blend of a batch; returns whether it is new. */
  #keep(b: number, blend: BatchBlend): boolean {
    const { columns, doses } = blend.doses;
    const key = columns
      .map((j, k) => `${j}:${doses[k]!.toPrecision(9)}`)
      .sort()
      .join(' ');
    if (this.#known[b]!.has(key)) return false;
    this.#known[b]!.add(key);
    this.pool[b]!.push(blend);
    return true;
  }

  *#working(): Resting<void> {
    const { season } = this;
    const none = new Float64Array(season.lots.length);
    const root: PlanNode = {
      decisions: season.blocks.map(() => []),
      ranges: new Map(),
      problems: season.blocks.map(({ problem }) => problem),
      bound: 0,
      prices: none,
      least: season.blocks.map(() => null),
    };
    this.#open.push(root);
    for (let node = this.#next(); node; node = this.#next()) {
      this.#at = node.bound;
      this.nodes += 1;
      yield* this.#look(node);
      this.#at = Infinity;
    }
  }

  /** Takes the open node of the least bound; those that cannot better the plan are dropped. */
  #next(): PlanNode | null {
    const cutoff = this.merit - this.tolerance;
    let least = -1;
    for (let i = this.#open.length - 1; i >= 0; i -= 1) {
      const { bound } = this.#open[i]!;
      if (bound >= cutoff) {
        this.#drop(bound);
        this.#open.splice(i, 1);
        if (least > i) least -= 1;
      } else if (least < 0 || bound < this.#open[least]!.bound) least = i;
    }
    return least < 0 ? null : this.#open.splice(least, 1)[0]!;
  }

  #drop(bound: number): void {
    this.#dropped = Math.min(this.#dropped, bound);
  }

  /** Blends known that keep what a node decides, by batch. */
  #listsOf({ decisions }: PlanNode): BatchBlend[][] {
    return this.pool.map((own, b) => own.filter((blend) => keeps(blend, decisions[b]!)));
  }

  /**
   * Asks batches for their best blends at these prices; `null` where one has none.
   * @param known by batch, what it counts at least at these prices, where that was asked before.
   */
  *#ask(
    node: PlanNode,
    prices: Float64Array,
    lists: readonly (readonly BatchBlend[])[],
    known: PlanNode['least'],
  ): Resting<{ bound: number; least: readonly number[]; isNew: boolean } | null> {
    const { season } = this;
    const ownCounts = this.#ownCounts;
    let bound = lotsBound(season.lots, this.#shared, node.ranges, prices, ownCounts);
    let isNew = false;
    const tolerance = (this.#closeness * this.tolerance) / season.blocks.length;
    const least: number[] = [];
    for (const [b, block] of season.blocks.entries()) {
      const before = known[b] ?? null;
      if (before !== null) {
        least.push(before);
        bound += before;
        continue;
      }
      const problem = priced(block, node.problems[b]!, prices, ownCounts);
      const at = (blend: BatchBlend) => pricedOf(blend, prices, ownCounts);
      const near = [...lists[b]!].sort((x, y) => at(x) - at(y)).slice(0, 2);
      this.asked += 1;
      const from = near.map(({ doses }) => doses);
      const met = (doses: Doses) => {
        if (this.#keep(b, blendOf(season, block, doses))) isNew = true;
      };
      const found = yield* bestOf(problem, block.slack, from, tolerance, BATCH_NODES, met);
      if (found.bound === Infinity) return null;
      least.push(found.bound);
      bound += found.bound;
      if (found.doses && this.#keep(b, blendOf(season, block, found.doses))) isNew = true;
    }
    return { bound, least, isNew };
  }

  /** Raises the bound of a node by prices, looks for plans near its mixture, and splits it. */
  *#look(node: PlanNode): Resting<void> {
    this.#closeness = COARSE;
    let { prices: best, least } = node;
    let mixture: Mixture | null = null;
    let [asked, bound] = [best, node.bound];
    // Whether the prices asked are those of the last mixture.
    let isPlain = false;
    for (let round = 0; round < ROUNDS_MOST; round += 1) {
      const known = round === 0 ? node.least : UNASKED;
      const answer = yield* this.#ask(node, asked, this.#listsOf(node), known);
      if (!answer) return;
      if (answer.bound > bound || round === 0) {
        [bound, best] = [Math.max(bound, answer.bound), asked];
        ({ least } = answer);
      }
      this.#at = Math.max(this.#at, Math.min(bound, this.merit));
      if (round === 0) yield* this.#combine(node, best);
      if (bound >= this.merit - this.tolerance) return this.#drop(bound);
      mixture = this.#mix(node);
      if (!mixture) break;
      const lacks = mixture.lacking.some((grams) => grams > 1e-6);
      if (!lacks && mixture.worth - bound <= this.#enough) break;
      if (this.goal === 'lacking' && mixture.worth - bound <= this.tolerance / 2) break;
      if (!answer.isNew && isPlain) {
        if (lacks && this.goal === 'objective' && this.#lackingCost < LACKING_COST_MOST) {
          this.#lackingCost *= 3;
          mixture = this.#mix(node) ?? mixture;
        } else if (this.#closeness <= FINE) break;
        else this.#closeness /= 4;
      }
      isPlain = !answer.isNew || round === 0;
      const { prices } = mixture;
      asked = isPlain ? prices : prices.map((p, l) => (1 - STEADY) * p + STEADY * best[l]!);
      if (round % 4 === 3) yield* this.#combine(node, best);
    }
    mixture = this.#mix(node);
    if (this.nodes === 1) this.isSuspect = mixture?.lacking.some((grams) => grams > 1e-6) ?? true;
    if (mixture) yield* this.#plansNear(node, mixture, best);
    if (bound >= this.merit - this.tolerance) return this.#drop(bound);
    const children = mixture && splitOf(this.season, node, this.#listsOf(node), mixture);
    if (!children) return this.#drop(bound);
    for (const { decisions, ranges, batch } of children) {
      const problem =
        batch === null ? null : decided(this.season.blocks[batch]!, decisions[batch]!);
      if (batch !== null && !problem) continue;
      const problems = node.problems.map((own, b) => (b === batch ? problem! : own));
      const kept = least.map((own, b) => (b === batch ? null : own));
      this.#open.push({ decisions, ranges, problems, bound, prices: best, least: kept });
    }
  }

  #mix(node: PlanNode): Mixture | null {
    const { lots } = this.season;
    const lists = this.#listsOf(node);
    if (lists.some((list) => list.length === 0)) return null;
    return mixed(
      lots,
      this.#shared,
      lists,
      node.ranges,
      this.#lackingCost,
      this.#ownCounts,
      this.#effort,
    );
  }

  /** The best plan of blends at hand. */
  *#combine(node: PlanNode, prices: Float64Array): Resting<void> {
    yield;
    if (this.goal === 'lacking') {
      this.offer(leastLacking(this.season, this.#listsOf(node), this.incumbent));
      return;
    }
    const plan = combined(this.season, this.#listsOf(node), prices, this.merit);
    if (plan) this.offer(plan);
  }

  /** Plans of blends at hand, and new ones: each batch in turn with what the mixture leaves it. */
  *#plansNear(node: PlanNode, mixture: Mixture, prices: Float64Array): Resting<void> {
    yield* this.#combine(node, prices);
    const { season, merit } = this;
    this.#waited += 1;
    if (merit < Infinity && this.#waited <= this.#leftOut) return;
    this.#waited = 0;
    const tolerance = this.tolerance / season.blocks.length;
    for (const blends of completed(season, this.#listsOf(node), mixture, prices, tolerance)) {
      yield;
      if (!blends) continue;
      blends.forEach((blend, b) => void (blend && this.#keep(b, blend)));
      const all = blends.flatMap((blend) => blend ?? []);
      if (all.length === blends.length) this.offer(planOf(season, all));
      if (this.#at >= this.merit - this.tolerance) return;
    }
    yield* this.#combine(node, prices);
    this.#leftOut = this.merit < merit ? 0 : Math.min(this.#leftOut + 1, LEFT_OUT_MOST);
  }
}
