// Volume and gravity when liquor is added: the extract is conserved. Volumes are those of cold liquid.
import type { Litres } from '#shared/units.ts';
import type { Gravity } from './liquid.ts';

/** Gravity of wort of this volume and gravity once so much liquor is added. */
export function diluted(volume: Litres, gravity: Gravity, liquor: Litres): Gravity {
  return 1 + ((gravity - 1) * volume) / (volume + liquor);
}

/** Liquor that brings wort down to a gravity, L; below 0: so much would have to be boiled off. */
export function liquorTo(volume: Litres, gravity: Gravity, wished: Gravity): Litres {
  return volume * ((gravity - 1) / (wished - 1) - 1);
}

/** What is collected where liquor of a steep is added later: less volume at a higher gravity. */
export interface SpargeCut {
  /** Liquor to leave out of the sparge, L. */
  readonly liquor_l: Litres;
  readonly wort_l: Litres;
  /** `null` where the wished gravity is not known. */
  readonly gravity_sg: Gravity | null;
}

/** @param whole what is wished in the fermenter, with the liquor in it. */
export function spargeCut(
  whole: { readonly volume_l: Litres; readonly gravity_sg: Gravity | null },
  liquor: Litres,
): SpargeCut | null {
  const wort = whole.volume_l - liquor;
  if (wort <= 0) return null;
  const { gravity_sg: gravity } = whole;
  return {
    liquor_l: liquor,
    wort_l: wort,
    gravity_sg: gravity === null ? null : 1 + ((gravity - 1) * whole.volume_l) / wort,
  };
}
