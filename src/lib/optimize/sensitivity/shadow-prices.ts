// What each wish and limit costs at a blend: its price to first order, and how far the price reaches.
// The price is the multiplier of the true optimum over doses and load, the reach is found by halving
// on that same optimum, solved anew for every bound tried.
import type { Price, PriceUnit } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import { INTENSITY_MAX } from '#shared/schemas/sizes.ts';
import { lotKey, mayBeSameLot } from '#engine/predict/design.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Model } from '#engine/tables/model.ts';
import { sumOf, wishOf, type Bound } from './bounds.ts';
import { finished } from '#optimize/pacing/clock.ts';
import { fixedSupport } from '#optimize/search/fixed-support.ts';
import { followed, settling, type Multipliers } from './multipliers.ts';
import { buysPackages } from '#optimize/problem/packages.ts';
import { stating } from '#optimize/problem/stating.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import type { Addition } from '#shared/schemas/lot.ts';

/** The amounts a price is named for. */
const PER: Readonly<Record<PriceUnit, number>> = {
  intensity: 0.1,
  IBU: 1,
  g_per_l: 1,
  g: 1,
  money: 1,
  share: 0.01,
};
/** Width to which the ends of a reach are pinned down, as a share of `PER`. */
const REACH_WIDTH = 0.01;
/** Other bounds that bind for less than this share of `PER` do not end a reach. */
const GAPS_PASSED = [0.02, 0.04, 0.08];
/** A reach is followed no further than this many times `PER`. */
const REACH_MOST = 100;

/** A problem with a fixed support with its optimum and multipliers. */
export interface SettledBlend {
  readonly problem: BlendProblem;
  /** The same brief with all columns, doses continuous; `chosen` are the columns of `problem` in it. */
  readonly whole: BlendProblem;
  readonly chosen: readonly number[];
  readonly at: Multipliers;
}

/** Additions of a blend that were chosen, not kept. */
export function chosenOf(brief: Brief, additions: readonly Addition[]): Addition[] {
  const key = (a: Addition) => `${lotKey(a)} ${a.stage} ${a.grams}`;
  const fixed = (brief.keep ?? []).filter((a) => a.grams > 0).map(key);
  return additions.filter((a) => {
    const at = fixed.indexOf(key(a));
    if (at >= 0) fixed.splice(at, 1);
    return at < 0;
  });
}

/** The column of each addition in a problem; -1 where there is none. */
export function columnsOfAdditions(
  problem: BlendProblem,
  additions: readonly Addition[],
): number[] {
  const key = (hop: string, spec: Addition) => lotKey({ ...spec, hop: nameKey(hop) });
  return additions.map((addition) =>
    problem.columns.findIndex(({ lot, stage, form }) => {
      const { candidate, lot: offered } = problem.offers[lot]!;
      const { price_per_kg, package_g, analysis, storage } = candidate;
      if (stage !== addition.stage || form !== addition.form) return false;
      if (!mayBeSameLot(candidate, addition)) return false;
      const spec = { hop: offered.hop, form, price_per_kg, package_g, analysis, storage };
      return key(offered.hop, { ...addition, ...spec }) === key(addition.hop, addition);
    }),
  );
}

/** The brief without its weighing step. */
export function unstepped(brief: Brief): Brief {
  const { weigh_step_g: _, ...limits } = brief.limits;
  return { ...brief, limits };
}

/** The best doses of a blend's columns with their multipliers; `null` where they are not to be had. */
export function settledOf(
  model: Model,
  brief: Brief,
  additions: readonly Addition[],
): SettledBlend | null {
  return finished(settlingOf(model, brief, additions));
}

/** The same, a part at a time. */
export function* settlingOf(
  model: Model,
  brief: Brief,
  additions: readonly Addition[],
): Generator<undefined, SettledBlend | null> {
  const stated = yield* stating(model, unstepped(brief));
  if (!stated.ok) return null;
  const whole = stated.value;
  if (buysPackages(whole)) return null;
  const chosen = columnsOfAdditions(whole, chosenOf(brief, additions));
  if (chosen.includes(-1)) return null;
  const problem = fixedSupport(whole, chosen, whole.least);
  const at = yield* settling(problem);
  return at && { problem, whole, chosen, at };
}

/** Which bounds bind. */
function signature({ bounds, binding }: Multipliers): string {
  return binding
    .map(({ bound }) => bounds.indexOf(bound))
    .sort((a, b) => a - b)
    .join();
}

/** Least figure a bound may take, and the largest. */
function scaleOf({ unit }: Bound): { least: number; most: number } {
  const most = { intensity: INTENSITY_MAX, share: 1 } as Partial<Record<PriceUnit, number>>;
  return { least: 0, most: most[unit] ?? Infinity };
}

/** Whether the same bounds bind where one is moved by so much. */
type Holds = (by: number) => Generator<undefined, boolean>;

/**
 * How far a bound moves to one side with the same bounds binding; `null`: to the end of the scale.
 * The optimum is followed from figure to figure; the end and what lies beyond it are then solved from
 * nothing, and where that finds otherwise the end is sought again by such solves alone. A tiny
 * stretch in which other bounds bind, and the former ones again beyond it, is passed over.
 */
function* reach(
  start: Multipliers,
  bound: Bound,
  direction: 1 | -1,
): Generator<undefined, number | null> {
  const wanted = signature(start);
  const per = PER[bound.unit];
  const { least, most } = scaleOf(bound);
  const end = direction > 0 ? most - bound.asked : bound.asked - least;
  const limit = Math.min(end, REACH_MOST * per);
  const at = (by: number) => bound.asked + direction * by;
  let near = start;
  const follows: Holds = function* (by) {
    yield;
    const found = followed(bound.moved(at(by)), near);
    if (!found || signature(found) !== wanted) return false;
    near = found;
    return true;
  };
  const proven: Holds = function* (by) {
    const found = yield* settling(bound.moved(at(by)));
    return found !== null && signature(found) === wanted;
  };
  /** The furthest it holds without a break, from where it does. */
  const furthest = function* (
    holds: Holds,
    from: number,
    most: number,
  ): Generator<undefined, number> {
    let good = from;
    let bad = most;
    let step = per / 4;
    for (; good < most; step *= 2) {
      const by = Math.min(good + step, most);
      if (!(yield* holds(by))) {
        bad = by;
        break;
      }
      good = by;
    }
    if (good >= most) return good;
    while (bad - good > REACH_WIDTH * per) {
      const middle = (good + bad) / 2;
      if (yield* holds(middle)) good = middle;
      else bad = middle;
    }
    return good;
  };
  let by = yield* furthest(follows, 0, limit);
  if (by > 0 && !(yield* proven(by))) by = yield* furthest(proven, 0, by);
  for (const gap of GAPS_PASSED) {
    while (by < limit && (yield* proven(Math.min(limit, by + gap * per)))) {
      by = yield* furthest(proven, Math.min(limit, by + gap * per), limit);
    }
  }
  return by >= end ? null : at(by);
}

function* pricesFrom({ problem, at }: SettledBlend): Generator<undefined, Price[]> {
  const prices: Price[] = [];
  // Bounds of one name are one wish (the smallest addition of every column): their prices add up.
  const byName = new Map<string, Bound[]>();
  for (const bound of at.bounds) {
    const wish = wishOf(bound);
    if (wish === null) continue;
    const key = `${wish} ${bound.side}`;
    byName.set(key, [...(byName.get(key) ?? []), bound]);
  }
  for (const bounds of byName.values()) {
    // A limit on a hop that is not in the blend has no price.
    if (bounds.every((b) => b.terms.every((t) => t.vector.every((v) => v === 0)))) continue;
    const { side, unit, asked } = bounds[0]!;
    const figures = bounds.map((b) => b.shown(sumOf(b, problem, at.x)));
    const got = side === 'at_least' ? Math.min(...figures) : Math.max(...figures);
    const common = { wish: wishOf(bounds[0]!)!, side, unit, asked, got, per: PER[unit] };
    const binding = at.binding.filter((p) => bounds.includes(p.bound));
    if (binding.length === 0) {
      const free = side === 'at_least' ? { from: null, to: got } : { from: got, to: null };
      prices.push({ ...common, price: 0, ...free });
      continue;
    }
    const slope = binding.reduce((sum, p) => sum + p.multiplier * p.bound.slope, 0);
    const from = yield* reach(at, binding[0]!.bound, -1);
    const to = yield* reach(at, binding[0]!.bound, 1);
    prices.push({ ...common, price: slope * PER[unit], from, to });
  }
  return prices;
}

/** The prices of all wishes and limits that doses can feel, at a settled blend; dearest first. */
export function* pricing(settledBlend: SettledBlend): Generator<undefined, Price[]> {
  const prices = yield* pricesFrom(settledBlend);
  return prices.sort((a, b) => b.price - a.price);
}
