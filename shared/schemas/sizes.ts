// How large the figures and names of a document may be. They stand here once, so that every entrance refuses the same.
import type { Grams, GramsPerLitre, Litres } from '#shared/units.ts';

/** Years a harvest can be of; whether one is still to come is checked where a lot is read (lot-dates.ts). */
export const HARVEST_YEAR_MIN = 1950;
export const HARVEST_YEAR_MAX = 2100;
/** Largest batch taken, L of beer. */
export const BEER_L_MAX: Litres = 1_000_000;
/** Largest dose of one addition taken, g per L of beer: beyond it the mash tun is all hops. */
export const DOSE_G_PER_L_MAX: GramsPerLitre = 100;
/** Smallest package and finest weighing step taken, g: below them figures run out of digits. */
export const PACKAGE_G_MIN: Grams = 1;
export const WEIGH_STEP_G_MIN: Grams = 0.01;
/** Largest intensity an axis can be wished for; 6 is dominant. */
export const INTENSITY_MAX = 10;

/** Longest name of a hop, design or schedule, characters. */
export const NAME_MAX = 200;
