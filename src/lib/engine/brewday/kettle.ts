// Volume and gravity in the kettle, before and after the boil, that give what is wished in the fermenter.
// Extract is conserved: what boils off is water, and what stays behind is wort of the same gravity. Volumes are
// those of cold wort.
import type { Hours, In, Litres } from '#shared/units.ts';
import { waterDensity, type Gravity } from './liquid.ts';

/** Temperatures at which volumes are measured and at which a boil begins, C. */
const COLD = 20;
const BOILING = 100;

export interface KettleAsked {
  /** Wort into the fermenter, L. */
  readonly wort_l: Litres;
  /** `null` where the wished gravity is not known. */
  readonly gravity_sg: Gravity | null;
  /** Wort held back by hops of the boil and of steeps in the kettle, L. */
  readonly held_l: Litres;
  /** Wort left with the break, as a share of all wort at the end of the boil. */
  readonly left_share: number;
  readonly boil_h: Hours;
  /** Share of the wort before the boil that boils off in an hour. */
  readonly off_per_h: In<'1/h'>;
}

export interface Kettle {
  readonly before_l: Litres;
  /** The volume of the same wort in the kettle when it begins to boil. */
  readonly before_hot_l: Litres;
  readonly before_sg: Gravity | null;
  readonly off_l: Litres;
  readonly after_l: Litres;
  readonly left_l: Litres;
}

/** `null` where all of the wort would boil away. */
export function kettleOf(asked: KettleAsked): Kettle | null {
  const { wort_l, gravity_sg: gravity, held_l, left_share, boil_h, off_per_h } = asked;
  const after_l = (wort_l + held_l) / (1 - left_share);
  const stays = 1 - off_per_h * boil_h;
  if (stays <= 0) return null;
  const before_l = after_l / stays;
  return {
    before_l,
    before_hot_l: (before_l * waterDensity(COLD)) / waterDensity(BOILING),
    before_sg: gravity === null ? null : 1 + ((gravity - 1) * after_l) / before_l,
    off_l: before_l - after_l,
    after_l,
    left_l: after_l - wort_l - held_l,
  };
}
