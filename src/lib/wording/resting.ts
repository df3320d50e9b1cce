// What the wished aromas rest on, in words: which on nothing measured, memory, tasters' words, estimates, which are mostly
// estimated, and which have firmer ground under a part of them.
import { AXES, weakOf, type AxisId } from '#shared/ids.ts';
import type { AxisEvidence } from '#engine/evidence/axis-evidence.ts';
import { listed } from './format.ts';
import { noteInList } from './words.ts';

/** Share from which a part reads as the whole. */
const WHOLE = 0.995;

interface WeakAxis {
  readonly axis: AxisId;
  readonly of: AxisEvidence;
  /** Share from memory, tasters' words or estimates. */
  readonly weak: number;
}

/** Of the axes wished for that the blend brings at all, in their order. */
export function groundsOf(
  resting: Readonly<Record<AxisId, AxisEvidence | null>>,
  wished: readonly AxisId[],
): WeakAxis[] {
  return AXES.flatMap((axis) => {
    const of = resting[axis];
    return of && wished.includes(axis) ? [{ axis, of, weak: weakOf(of) }] : [];
  });
}

/** Those with something measured under them, the weakest first. */
export function firmer(grounds: readonly WeakAxis[]): WeakAxis[] {
  return grounds.filter(({ weak }) => weak < WHOLE).sort((a, b) => b.weak - a.weak);
}

const names = (grounds: readonly WeakAxis[]) => listed(grounds.map(({ axis }) => noteInList(axis)));
const sentence = (words: string) => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;

/** What rests on nothing measured, and what of it mostly on estimates, the weakest of all. */
export function groundWords(grounds: readonly WeakAxis[]): string[] {
  const alone = grounds.filter(({ weak }) => weak >= WHOLE);
  const guessed = grounds.filter(({ of }) => of.estimated >= 0.5);
  const rest = (some: readonly WeakAxis[]) =>
    `${names(some)} ${some.length > 1 ? 'rest' : 'rests'}`;
  const words: string[] = [];
  if (alone.length > 0 && alone.length === grounds.length)
    words.push('Every aroma you wish for rests on memory, tasters’ words or estimates alone.');
  else if (alone.length > 0)
    words.push(sentence(`${rest(alone)} on memory, tasters’ words or estimates alone`));
  if (guessed.length > 0 && guessed.length === grounds.length)
    words.push('Most of each is estimated.');
  else if (guessed.length > 0) words.push(`Mostly estimated: ${names(guessed)}.`);
  return words;
}
