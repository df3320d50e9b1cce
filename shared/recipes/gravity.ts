// Specific gravity of a wort, however a program tells it.
/**
 * Specific gravity at 20 C of a wort of that extract, % by weight (0 to 30).
 * Source: the usual rational fit to the Plato table; its inverse error is under 0.0002. From memory.
 */
export function sgOfPlato(plato: number): number {
  return 1 + plato / (258.6 - (227.1 * plato) / 258.2);
}

/** A gravity told as such, in kg/m3 (1053) or in degrees Plato (11.6); `undefined` where it is none of them. */
export function sgOf(told: number | undefined): number | undefined {
  if (told === undefined || (told >= 0.99 && told <= 1.2)) return told;
  if (told >= 990 && told <= 1200) return told / 1000;
  return told > 1.2 && told <= 40 ? Number(sgOfPlato(told).toFixed(5)) : undefined;
}
