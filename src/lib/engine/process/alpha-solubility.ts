// How much of the alpha acids cold beer holds: little, the less the colder, the rest falls out. What is
// known are two points of an old text (BEERIBU) and that at 4 C a dry hop added none (OLAD17).
import { exp, line, most, num, times, type Line, type Term } from '#engine/symbols/term.ts';
import type { Process } from './process.ts';

/** Alpha acids that beer at a temperature in C holds, mg/L. Source: BEERIBU. */
export function heldAtTemperature(process: Process, tempC: Term): Term {
  return times(
    process.parameter('dry_hop.alpha_held'),
    exp(times(process.parameter('dry_hop.alpha_held_rise'), tempC)),
  );
}

/**
 * What the beer of a process holds, mg/L: at the warmest of its stages in cold beer. That more falls out
 * in a later, colder one is slow, and not counted.
 */
export function alphaHeld(process: Process): Line {
  return process.once('alpha held', () => {
    const held = process.stages.flatMap(({ alpha }) => (alpha.kind === 'cold' ? [alpha.held] : []));
    const term = held.length > 1 ? most(...held) : (held[0] ?? num(0));
    return line('Alpha acids the cold beer holds', 'mg/L', 'dry_bitter', term);
  });
}
