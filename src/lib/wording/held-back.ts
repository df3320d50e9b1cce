// How beer held back by hops is written: it is known to about a quarter, so with two digits.
import { toShown, unitLabel, type Litres, type UnitSystem } from '#shared/units.ts';
import { alike, withUnit } from './format.ts';

/** Writes volumes of about this size, and changes of them, with the decimals of its two digits. */
export function heldBack(litres: Litres, system: UnitSystem): (litres: Litres) => string {
  const shown = (of: Litres) => toShown(of, 'volume', system);
  const format = alike(shown(litres));
  return (of) => withUnit(format(shown(of)), unitLabel('volume', system));
}
