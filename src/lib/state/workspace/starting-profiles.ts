// Named profiles to start from. We made them up; a test shows that the hop table can reach each of them on a
// usual batch.
import type { Target } from '#shared/schemas/brief.ts';

export interface StartingProfile {
  readonly name: string;
  /** What it smells like, in a few words. */
  readonly words: string;
  readonly target: Target;
}

export const STARTING_PROFILES: readonly StartingProfile[] = [
  {
    name: 'Guava and grapefruit',
    words: 'tropical first, a bright edge, little pine',
    target: {
      tropical: { aim: 2.9, within: 0.2 },
      citrus: { at_least: 2.4 },
      resin: { at_most: 1.8 },
    },
  },
  {
    name: 'Orange and blossom',
    words: 'sweet citrus with a floral lift',
    target: {
      citrus: { aim: 2.8, within: 0.2 },
      floral: { at_least: 2.2 },
      resin: { at_most: 2 },
    },
  },
  {
    name: 'Blackcurrant',
    words: 'dark fruit, tropical behind it',
    target: {
      berry: { aim: 2.7, within: 0.2 },
      tropical: { at_least: 2 },
      resin: { at_most: 2.2 },
    },
  },
  {
    name: 'Pine and pith',
    words: 'resin with bitter peel, little fruit',
    target: {
      resin: { aim: 2.8, within: 0.2 },
      citrus: { at_least: 2.3 },
      tropical: { at_most: 2.3 },
    },
  },
  {
    name: 'Rose garden',
    words: 'flowers, hardly any resin',
    target: { floral: { aim: 2.5, within: 0.2 }, resin: { at_most: 1.6 } },
  },
  {
    name: 'Herbs and cedar',
    words: 'dry and spicy, wood underneath',
    target: {
      herbal_spice: { aim: 2.7, within: 0.2 },
      woody_earthy: { at_least: 2 },
      tropical: { at_most: 1.5 },
    },
  },
];
