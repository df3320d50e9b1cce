// What the two directions of the hop map mean, in words: the parts of oil that grow to each side.
import { listed, percent } from './format.ts';
import { compoundName } from './words.ts';
import type { ComparedPart } from '#engine/lot/likeness.ts';

export interface DirectionFigures {
  readonly share: number;
  readonly loadings: readonly { readonly part: ComparedPart; readonly loading: number }[];
}

/** Loadings smaller than this part of the largest are not worth a word. */
const WORTH = 0.3;

const partName = (part: ComparedPart) =>
  part === 'rest' ? 'other oil' : compoundName(part).toLowerCase();

/** "more humulene and caryophyllene" to the side where `sign` points. */
export function sideWords({ loadings }: DirectionFigures, sign: 1 | -1): string {
  const largest = Math.max(...loadings.map(({ loading }) => Math.abs(loading)));
  const side = loadings
    .filter(({ loading }) => loading * sign >= WORTH * largest)
    .sort((a, b) => sign * (b.loading - a.loading));
  const named = side.length
    ? side
    : [loadings.reduce((a, b) => (sign * b.loading > sign * a.loading ? b : a))];
  return `more ${listed(named.map(({ part }) => partName(part)))}`;
}

/** How much of all differences the map shows. */
export function mapShare(directions: readonly DirectionFigures[]): string {
  return percent(directions.reduce((sum, { share }) => sum + share, 0));
}
