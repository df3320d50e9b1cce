// The temperature of a hot steep while it cools, by Newton's law towards a coolant, with the hops still in it;
// and the points of a Gauss-Legendre quadrature at which rates that depend on temperature are summed over the
// cooling.
import { exp, ln, num, over, sum, minus, times, type Term } from '#engine/symbols/term.ts';
import type { Process } from './process.ts';

/**
 * Temperature in C at a share of the cooling, 0 to 1: coolant + (start - coolant) exp(-r s), with
 * T = `toC` at its end; the coolant stays `hot_steep.cooling_approach` below that.
 */
export function tempDuring(process: Process, startC: Term, toC: Term): (share: number) => Term {
  const approach = process.parameter('hot_steep.cooling_approach');
  const coolant = minus(toC, approach);
  const excess = minus(startC, coolant);
  const fall = ln(over(excess, approach));
  return (share) => sum(coolant, times(excess, exp(times(num(-share), fall))));
}

/** Positive nodes and their weights of the 16-point Gauss-Legendre rule on [-1, 1]. */
const GAUSS_16: readonly (readonly [number, number])[] = [
  [0.0950125098376374, 0.1894506104550685],
  [0.2816035507792589, 0.1826034150449236],
  [0.4580167776572274, 0.1691565193950025],
  [0.6178762444026438, 0.1495959888165767],
  [0.755404408355003, 0.1246289712555339],
  [0.8656312023878318, 0.0951585116824928],
  [0.9445750230732326, 0.0622535239386479],
  [0.9894009349916499, 0.0271524594117541],
];

/** Shares of the cooling time at which a rate is evaluated, with weights that add up to 1; error under 1e-9. */
export function coolingNodes(): { readonly share: number; readonly weight: number }[] {
  return GAUSS_16.flatMap(([node, weight]) => [
    { share: (1 - node) / 2, weight: weight / 2 },
    { share: (1 + node) / 2, weight: weight / 2 },
  ]);
}
