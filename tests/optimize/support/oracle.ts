// An independent answer to a brief, written out plainly and solved by HiGHS: the best blend at one dry-hop load is
// exact, over an interval of loads a bound on it from below, so that halving intervals finds the best blend over all
// loads. Shares nothing with the search.
import type { LotAddition } from '#engine/predict/design.ts';
import { mostAt, type Reading } from './oracle-reading.ts';
import { Whole, type DryGrams, type OracleBlend, type OracleOptions } from './oracle-whole.ts';

export function dryGramsOf(additions: readonly LotAddition[]): number {
  return additions.reduce((sum, a) => sum + (a.stage === 'dry_hop' ? a.grams : 0), 0);
}

/** Most grams of chosen dry hop that any blend has. */
export function loadsOf({ choices, step, brief, fixedDry }: Reading): number {
  const everything = choices.reduce((sum, c) => sum + (c.stage === 'dry_hop' ? c.most : 0), 0);
  const grams = Math.max(0, Math.min(everything, mostAt(brief, 'dry_hop', fixedDry) - fixedDry));
  return step > 0 ? Math.floor(grams / step + 1e-9) * step : grams;
}

/** The best blend with exactly these grams of chosen dry hop; `null` when there is none. */
export function bestAt(
  reading: Reading,
  dryGrams: number,
  options: OracleOptions = {},
): OracleBlend | null {
  return new Whole(reading, { from: dryGrams, to: dryGrams }, options).solve(options);
}

export interface OracleAnswer {
  /** The best blend found at any load; `null` where there is none (of an objective `below`). */
  readonly blend: OracleBlend | null;
  /** No blend of any load has a lesser objective; infinite where there is none. */
  readonly lower: number;
  /** Programs solved. */
  readonly programs: number;
}

/** Gap to which loads are searched: half of what the search itself calls proven. */
const LOAD_GAP = 5e-4;
/** Intervals no wider than this are settled, g. */
const NARROW_G = 1e-5;

/** The best blend over all dry-hop loads. */
export function bestOverLoads(reading: Reading, options: OracleOptions = {}): OracleAnswer {
  const { gap = 1e-5, below = Infinity } = options;
  const { step, brief, base } = reading;
  const beerL = brief.batch.beer_l;
  const whole = (grams: number) => (step > 0 ? Math.floor(grams / step + 1e-9) * step : grams);
  // In whole weighing steps a lighter blend is lighter by a step.
  const inGrams = brief.minimise === 'weight' || brief.minimise === 'closest';
  const quantum = inGrams ? step * (1 - 1e-6) : 0;
  let blend: OracleBlend | null = null;
  let settled = Infinity;
  let programs = 0;
  const cutoff = () => {
    if (!blend) return below;
    return base + (blend.objective - base) * (1 - (quantum > 0 ? 0 : LOAD_GAP)) - quantum;
  };
  const solve = (dry: DryGrams) => {
    programs += 1;
    const found = new Whole(reading, dry, { ...options, below: cutoff() }).solve({
      ...options,
      gap,
    });
    if (found && dry.from === dry.to) blend = found;
    return found;
  };
  const open: (DryGrams & { bound: number; at: number })[] = [];
  const look = (dry: DryGrams) => {
    const relaxed = solve(dry);
    if (!relaxed) return;
    const bound = base + (relaxed.objective - base) * (1 - gap);
    if (dry.from === dry.to) settled = Math.min(settled, bound);
    else open.push({ ...dry, bound, at: dryGramsOf(relaxed.additions) });
  };
  look({ from: 0, to: loadsOf(reading) });
  while (open.length > 0) {
    open.sort((a, b) => b.bound - a.bound);
    const { from, to, bound, at } = open.pop()!;
    const there = whole(at + step / 2);
    solve({ from: there, to: there });
    if (bound >= cutoff()) continue;
    if (to - from <= NARROW_G) {
      settled = Math.min(settled, bound);
      continue;
    }
    const inner = (to - from) / 10;
    const middle = Math.sqrt((beerL + from) * (beerL + to)) - beerL;
    const wide = to + beerL > 4 * (from + beerL);
    const split = wide ? middle : Math.min(Math.max(at, from + inner), to - inner);
    const end = step > 0 ? Math.min(Math.max(whole(split), from), to - step) : split;
    look({ from, to: end });
    look({ from: step > 0 ? end + step : end, to });
  }
  // Blends that were cut off are no better than the cutoff, or, in whole steps, than the blend itself.
  const found = blend as OracleBlend | null;
  const cut = quantum > 0 && found ? found.objective : cutoff();
  return { blend: found, lower: Math.min(settled, cut), programs };
}
