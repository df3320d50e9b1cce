// Iso-alpha acids from heat: two reactions of first order, alpha acids to iso-alpha acids and these on to
// other products. Kinetics: Malowicki and Shellhammer 2005 (MAL05), shown for 90-130 C in buffer and first
// order down to 80 C by Jaskula et al. 2008 (JASK08); below that extrapolated.
import { KELVIN_AT_0_C } from '#shared/units.ts';
import {
  decay,
  exp,
  line,
  minus,
  num,
  over,
  sum,
  times,
  type Line,
  type Term,
} from '#engine/symbols/term.ts';
import type { Process } from './process.ts';

/** Rate of one of the two reactions at a temperature in C, 1/min: k = A exp(-B/T). Source: MAL05. */
function rate(process: Process, step: '1' | '2', tempC: Term): Term {
  const fall = over(process.parameter(`iso.b${step}`), sum(tempC, num(KELVIN_AT_0_C)));
  return times(process.parameter(`iso.a${step}`), exp(times(num(-1), fall)));
}

/** Rate of isomerization of alpha acids at a temperature in C, 1/min. */
export const isomerizationRate = (process: Process, tempC: Term) => rate(process, '1', tempC);

/** Rate of loss of iso-alpha acids at a temperature in C, 1/min. */
export const isoLossRate = (process: Process, tempC: Term) => rate(process, '2', tempC);

/** Alpha and iso-alpha acids, as shares of the alpha acids put in. */
export interface HopAcids {
  readonly alpha: Term;
  readonly iso: Term;
}

/** The acids before any heat: nothing is isomerized yet. */
export const UNHEATED: HopAcids = { alpha: num(1), iso: num(0) };

/**
 * Hop acids after so many minutes at a steady temperature. From alpha acids alone the iso-alpha acids are
 * k1/(k2-k1) (exp(-k1 t) - exp(-k2 t)), consecutive first-order reactions. Source: MAL05.
 * @param key names this heating, so that its lines are made once.
 */
export function heldAt(
  process: Process,
  key: string,
  before: HopAcids,
  tempC: Term,
  minutes: Term,
): HopAcids {
  const formed = process.once(`isomerization ${key}`, () => {
    const term = isomerizationRate(process, tempC);
    return line('Isomerization of alpha acids', '1/min', 'iso_fraction', term);
  });
  const lost = process.once(`iso loss ${key}`, () => {
    return line('Loss of iso-alpha acids', '1/min', 'iso_fraction', isoLossRate(process, tempC));
  });
  const fresh = times(
    over(formed, minus(lost, formed)),
    minus(decay(formed, minutes), decay(lost, minutes)),
  );
  if (before === UNHEATED) return { alpha: decay(formed, minutes), iso: fresh };
  return {
    alpha: times(before.alpha, decay(formed, minutes)),
    iso: sum(times(before.alpha, fresh), times(before.iso, decay(lost, minutes))),
  };
}

/** Steps of the integration over a cooling; its error is under 1e-6 of the fraction. */
const COOLING_STEPS = 32;

/**
 * Hop acids after a cooling: the same two reactions, a' = -k1 a and i' = k1 a - k2 i, by the classical
 * fourth-order Runge-Kutta rule, the rates following the temperature. Source of the rates: MAL05.
 * @param tempAt temperature in C at a share of the cooling, 0 to 1.
 */
export function cooled(
  process: Process,
  before: HopAcids,
  minutes: Term,
  tempAt: (share: number) => Term,
): HopAcids {
  // Each intermediate figure is a line: it is used several times and computed once.
  const step = (term: Term) => line('Step of the integration', '', 'iso_fraction', term);
  const h = step(over(minutes, num(COOLING_STEPS)));
  const half = step(over(h, num(2)));
  const sixth = step(over(h, num(6)));
  const rates = (share: number) => {
    const tempC = step(tempAt(share));
    return [step(isomerizationRate(process, tempC)), step(isoLossRate(process, tempC))] as const;
  };
  const minusTimes = (a: Term, b: Term) => times(num(-1), a, b);
  let { alpha, iso } = before;
  let [p, q] = rates(0);
  for (let n = 0; n < COOLING_STEPS; n += 1) {
    const [pm, qm] = rates((n + 0.5) / COOLING_STEPS);
    const [pe, qe] = rates((n + 1) / COOLING_STEPS);
    const slope = (k1: Term, k2: Term, a: Term, i: Term) => {
      const fall = step(minusTimes(k1, a));
      return [fall, step(minus(times(num(-1), fall), times(k2, i)))] as const;
    };
    const [a1, i1] = slope(p, q, alpha, iso);
    const [a2, i2] = slope(pm, qm, sum(alpha, times(half, a1)), sum(iso, times(half, i1)));
    const [a3, i3] = slope(pm, qm, sum(alpha, times(half, a2)), sum(iso, times(half, i2)));
    const [a4, i4] = slope(pe, qe, sum(alpha, times(h, a3)), sum(iso, times(h, i3)));
    const mean = (x1: Term, x2: Term, x3: Term, x4: Term) =>
      times(sixth, sum(x1, times(num(2), x2), times(num(2), x3), x4));
    alpha = step(sum(alpha, mean(a1, a2, a3, a4)));
    iso = step(sum(iso, mean(i1, i2, i3, i4)));
    [p, q] = [pe, qe];
  }
  return { alpha, iso };
}

/** Iso-alpha acids per alpha acid as a line of a stage. */
export function isomerizedLine(name: string, { iso }: HopAcids, manySteps: boolean): Line {
  return line(name, 'fraction', 'iso_fraction', iso, { manySteps });
}
