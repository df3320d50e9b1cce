// The independent proof that nothing is better than some figure: over intervals of dry-hop loads, the linear
// relaxation first, which is quick, settles most intervals and bounds how much of each choice a better blend can
// have; the whole program, asked for any blend at all, where the interval is narrow. The rest is split.
import type { Reading } from './oracle-reading.ts';
import { Whole, type DryGrams, type OracleBlend, type OracleOptions } from './oracle-whole.ts';
import { dryGramsOf, loadsOf } from './oracle.ts';

/** Intervals wider than this share of beer and load are split rather than asked of the program. */
const WIDE = 0.03;
/** An interval no wider than this holds a blend where the program says so, g. */
const NARROW_G = 1e-6;
/** Relative gap at which any blend will do. */
const ANY = 1;
/** Share of the choices that must go for the relaxation to be looked at again. */
const WORTHWHILE = 0.05;

interface Open extends DryGrams {
  /** The reading with only the choices, and only so much of each, as a better blend can have. */
  readonly reading: Reading;
}

/** The reading with no more of each choice than these grams. */
function tightened(reading: Reading, mosts: readonly number[]): Reading {
  const enough = Math.max(reading.least, reading.step) * (1 - 1e-9);
  const choices = reading.choices.flatMap((c, j) => {
    const most = Math.min(c.most, mosts[j]!);
    return most < enough || most === 0 ? [] : [{ ...c, most }];
  });
  return { ...reading, choices: choices.length > 0 ? choices : reading.choices.slice(0, 1) };
}

/**
 * A blend of an objective less than `below`, at any load; `null` where there is proven to be none.
 */
export function anyBelow(
  whole: Reading,
  below: number,
  given: OracleOptions = {},
): OracleBlend | null {
  const { step, brief } = whole;
  if (below <= whole.base) return null;
  const beerL = brief.batch.beer_l;
  const options = { ...given, below };
  const inSteps = (grams: number) => (step > 0 ? Math.floor(grams / step + 1e-9) * step : grams);
  const found = (reading: Reading, dry: DryGrams) =>
    new Whole(reading, dry, options).solve({ ...options, gap: ANY });
  const open: Open[] = [{ from: 0, to: loadsOf(whole), reading: whole }];
  for (let part = open.pop(); part; part = open.pop()) {
    const { from, to } = part;
    let { reading } = part;
    let relaxed = new Whole(reading, part, options).relax(below);
    while (relaxed) {
      const count = reading.choices.length;
      reading = tightened(reading, relaxed.mosts);
      if (reading.choices.length > count * (1 - WORTHWHILE)) break;
      relaxed = new Whole(reading, part, options).relax(below);
    }
    if (!relaxed) continue;
    const width = to - from;
    let near: OracleBlend | null = relaxed;
    if (width <= WIDE * (beerL + from)) {
      near = found(reading, part);
      if (!near) continue;
      if (width <= NARROW_G) return near;
      const there = inSteps(dryGramsOf(near.additions) + step / 2);
      const real = found(reading, { from: there, to: there });
      if (real) return real;
    }
    const inner = width / 4;
    const at = Math.min(Math.max(dryGramsOf(near.additions), from + inner), to - inner);
    const end = step > 0 ? Math.min(Math.max(inSteps(at), from), to - step) : at;
    open.push({ from: step > 0 ? end + step : end, to, reading }, { from, to: end, reading });
  }
  return null;
}
