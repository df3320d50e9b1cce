// Specific gravity of a wort, in whichever unit a program writes it.
/**
 * Specific gravity at 20 C of a wort of that extract, % by weight (0 to 30).
 * Source: the usual rational fit to the Plato table; its inverse error is under 0.0002. From memory.
 */
export function sgOfPlato(plato: number): number {
  return 1 + plato / (258.6 - (227.1 * plato) / 258.2);
}

/** The specific gravity where a figure is one, or is in kg/m3 (1053) or degrees Plato (11.6); else `undefined`. */
export function sgOf(gravity: number | undefined): number | undefined {
  if (gravity === undefined || (gravity >= 0.99 && gravity <= 1.2)) return gravity;
  if (gravity >= 990 && gravity <= 1200) return gravity / 1000;
  return gravity > 1.2 && gravity <= 40 ? Number(sgOfPlato(gravity).toFixed(5)) : undefined;
}
