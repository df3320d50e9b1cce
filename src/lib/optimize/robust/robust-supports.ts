// Which hops at which stages a blend that holds in many lots is made of: climbs with all columns of the
// starts, brings in columns that would help, and drops hops until no more are left than may be.
import { fixedSupport } from '#optimize/search/fixed-support.ts';
import { leastOf, type BlendProblem } from '#optimize/problem/problem.ts';
import { Ascent, type Aim } from './robust-ascent.ts';
import type { Doses } from '#optimize/problem/doses.ts';

/** Columns brought in at a time, and how often. */
const COLUMNS_IN = 6;
const ROUNDS = 2;
/** Share of the whole dose a column comes in with. */
const SHARE_IN = 0.02;
/** Width of the logistic curve at which columns and hops are weighed. */
const WIDTH = 0.1;
/** Where climbs begin whose start is already the end of another, by the widths of a climb. */
const NARROW = 2;
/** Every so many scenarios are climbed by; the moves that follow look at all. */
const EVERY = 2;
/** Room above the share asked for, so that rounding to whole steps does not lose it. */
const ROOM = 0.01;

/** A problem cut to some columns with everything else as it is. */
export function cutTo(problem: BlendProblem, chosen: readonly number[]): BlendProblem {
  const { hopsAtMost, least, step } = problem;
  const cut = fixedSupport(problem, chosen, 0);
  const columns = cut.columns.map((c, i) => ({ ...c, most: problem.columns[chosen[i]!]!.most }));
  return { ...cut, columns, hopsAtMost, least, step };
}

/** The same of many problems, one after the other. */
export function* cutAll(
  problems: readonly BlendProblem[],
  chosen: readonly number[],
): Generator<undefined, BlendProblem[]> {
  const cut: BlendProblem[] = [];
  for (const problem of problems) {
    cut.push(cutTo(problem, chosen));
    yield;
  }
  return cut;
}

/** A blend whose doses are near what may be weighed, and the columns it was chosen from. */
export interface Support {
  readonly chosen: readonly number[];
  readonly doses: Doses;
}

export class Supports {
  private readonly whole: BlendProblem;
  private readonly scenarios: readonly BlendProblem[];
  private readonly reference: number;
  private readonly stop: () => boolean;

  /** @param reference objective of the blend for central figures. */
  constructor(
    whole: BlendProblem,
    scenarios: readonly BlendProblem[],
    reference: number,
    stop: () => boolean,
  ) {
    this.whole = whole;
    this.scenarios = scenarios.filter((_, i) => i % EVERY === 0);
    this.reference = reference;
    this.stop = stop;
  }

  /** Climbs from a blend: holding in most, within the count of hops, then at the least objective. */
  *from({ columns, doses }: Doses, share: number): Generator<undefined, Support> {
    const { whole } = this;
    const x = new Float64Array(whole.columns.length);
    columns.forEach((j, k) => (x[j] = doses[k]!));
    for (const v of whole.required) {
      const [first] = whole.columnsOfVariety[v]!;
      if (whole.columnsOfVariety[v]!.every((j) => x[j] === 0)) x[first!] = leastOf(whole, v);
    }
    yield* this.climb(x, { kind: 'most' });
    for (let round = 0; round < ROUNDS && !this.stop(); round += 1) {
      yield* this.bringIn(x);
      yield* this.climb(x, { kind: 'most' }, NARROW);
    }
    const chosen = [...x.keys()].filter((j) => x[j]! > 0);
    yield* this.prune(x);
    const { ascent, own } = yield* this.within(x);
    const held = yield* ascent.sloping(own, WIDTH);
    if (held.share > share) yield* this.climb(x, { kind: 'enough', share: share + ROOM });
    return { chosen, doses: this.rounded(x) };
  }

  private *within(x: Float64Array) {
    const chosen = [...x.keys()].filter((j) => x[j]! > 0);
    const scenarios = yield* cutAll(this.scenarios, chosen);
    const ascent = new Ascent(cutTo(this.whole, chosen), scenarios);
    return { chosen, ascent, own: Float64Array.from(chosen, (j) => x[j]!) };
  }

  private *climb(x: Float64Array, aim: Aim, from = 0): Generator<undefined, void> {
    const { chosen, ascent, own } = yield* this.within(x);
    const end = yield* ascent.climb(own, aim, this.reference, this.stop, from);
    chosen.forEach((j, k) => (x[j] = end[k]!));
    const total = x.reduce((a, b) => a + b, 0);
    // What has shrunk to next to nothing is out.
    chosen.forEach((j) => {
      const last = this.whole.required.includes(this.whole.columns[j]!.variety);
      if (!last && x[j]! < total * 1e-3) x[j] = 0;
    });
  }

  /** Gives a little to the columns of which a little helps most. */
  private *bringIn(x: Float64Array): Generator<undefined, void> {
    const { whole, scenarios } = this;
    const { of } = yield* new Ascent(whole, scenarios).sloping(x, WIDTH);
    const gains = [...x.keys()]
      .filter((j) => x[j] === 0 && whole.columns[j]!.most > 0)
      .map((j) => ({ j, gain: of.share[j]! - of.breach[j]! }))
      .sort((a, b) => b.gain - a.gain);
    const total = x.reduce((a, b) => a + b, 0);
    for (const { j, gain } of gains.slice(0, COLUMNS_IN)) {
      if (gain > 0) x[j] = Math.min(whole.columns[j]!.most, Math.max(1e-3, SHARE_IN * total));
    }
  }

  /** Drops hop after hop, the one missed least, and doses too small to weigh. */
  private *prune(x: Float64Array): Generator<undefined, void> {
    const { whole } = this;
    for (;;) {
      yield;
      if (this.stop()) return;
      const { chosen, ascent, own } = yield* this.within(x);
      const inside = [...new Set(chosen.map((j) => whole.columns[j]!.variety))];
      const tooMany = inside.length > whole.hopsAtMost;
      const small = chosen.filter((j) => x[j]! < whole.least * 0.6 && !this.isLast(x, j));
      if (!tooMany && small.length === 0) return;
      // Without a hop (or a small dose) the rest is scaled up to the same whole dose.
      const total = own.reduce((a, b) => a + b, 0);
      const drops = tooMany
        ? inside
            .filter((v) => !whole.required.includes(v))
            .map((v) => chosen.filter((j) => whole.columns[j]!.variety === v))
        : small.map((j) => [j]);
      let best: { without: Float64Array; share: number } | null = null;
      for (const drop of drops) {
        const without = own.map((dose, k) => (drop.includes(chosen[k]!) ? 0 : dose));
        const left = without.reduce((a, b) => a + b, 0);
        if (left === 0) continue;
        const scaled = without.map((dose) => (dose * total) / left);
        yield;
        const { share, breach } = yield* ascent.sloping(scaled, 2 * WIDTH);
        if (!best || share - breach > best.share) best = { without: scaled, share: share - breach };
      }
      if (!best) return;
      chosen.forEach((j, k) => (x[j] = best.without[k]!));
      yield* this.climb(x, { kind: 'most' }, NARROW);
    }
  }

  /** Whether a column is the only one left of a required hop, or of all. */
  private isLast(x: Float64Array, j: number): boolean {
    const { columnsOfVariety, columns, required } = this.whole;
    const { variety } = columns[j]!;
    if ([...x.keys()].every((k) => k === j || x[k] === 0)) return true;
    return (
      required.includes(variety) && columnsOfVariety[variety]!.every((k) => k === j || x[k] === 0)
    );
  }

  /** Doses as they may be weighed, near to these. */
  private rounded(x: Float64Array): Doses {
    const { step, least } = this.whole;
    const columns = [...x.keys()].filter((j) => x[j]! > 0);
    const doses = columns.map((j) => {
      const dose = Math.max(x[j]!, least, step);
      return step > 0 ? Math.round(dose / step) * step : dose;
    });
    return { columns, doses };
  }
}
