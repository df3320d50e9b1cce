// How much of the alpha acids cold beer can hold: the colder, the less; what it cannot hold falls out. Known
// are two points of an old text (BEERIBU), and that at 4 C a dry hop added none (OLAD17).
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
 * Alpha acids that the beer of a process can hold, mg/L: at the warmest of its stages in cold beer. More falls
 * out in a later, colder stage, but slowly; that is not counted.
 */
export function alphaHeld(process: Process): Line {
  return process.once('alpha held', () => {
    const held = process.stages.flatMap(({ alpha }) => (alpha.kind === 'cold' ? [alpha.held] : []));
    const term = held.length > 1 ? most(...held) : (held[0] ?? num(0));
    return line('Alpha acids the cold beer holds', 'mg/L', 'dry_bitter', term);
  });
}
