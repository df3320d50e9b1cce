// The chain from the hop to the glass as the guide shows it: what is done, and the equation that does it.
import type { EquationId } from '#engine/symbols/equation-ids.ts';

/** In the order of the brew. */
export const CHAIN: readonly (readonly [words: string, equation: EquationId, name: string])[] = [
  ['Your lot: its own analysis before the table’s, less what storage took.', 'storage', 'Storage'],
  ['What 1 g carries, compound by compound.', 'content', 'Content'],
  ['What a boil leaves of it.', 'boil_yield', 'Boil'],
  ['What a hot steep leaves.', 'hot_steep_yield', 'Hot steep'],
  ['What a dry hop gives in its time and heat.', 'dry_hop_yield', 'Dry hop'],
  ['How much less each gram gives in a large load.', 'load_law', 'Load'],
  ['What yeast changes.', 'fermentation', 'Fermentation'],
  ['What yeast sets free of bound thiols.', 'bound_release', 'Release'],
  ['Micrograms in a litre of the beer.', 'concentration', 'Concentration'],
  ['How many times the odour threshold that is.', 'odour_activity', 'Odour activity'],
  ['Compounds and tasters’ words, added up on an axis.', 'signal', 'Signal'],
  ['How strong that smells: ten times as much is 2.5 times as strong.', 'intensity', 'Intensity'],
  ['Bitterness as a spectrophotometer reads it.', 'ibu', 'Bitterness'],
  ['500 draws of everything that is not known for sure.', 'band', 'Band'],
];
