// Guesses which known names may be meant by an unknown one.

/** Two rows of the table of edit distances, used again for each pair; longer than any name that is compared. */
let [above, below] = [new Uint8Array(256), new Uint8Array(256)];

/**
 * How many letters must be changed, added or taken away (Levenshtein distance); infinite where more than
 * `most`. The names have at most 100 letters.
 */
function distance(a: string, b: string, most: number): number {
  if (Math.abs(a.length - b.length) > most) return Infinity;
  for (let j = 0; j <= b.length; j += 1) above[j] = j;
  for (let i = 1; i <= a.length; i += 1) {
    let least = (below[0] = i);
    for (let j = 1; j <= b.length; j += 1) {
      const swap = above[j - 1]! + (a.charCodeAt(i - 1) === b.charCodeAt(j - 1) ? 0 : 1);
      const changes = Math.min(swap, above[j]! + 1, below[j - 1]! + 1);
      below[j] = changes;
      if (changes < least) least = changes;
    }
    if (least > most) return Infinity;
    [above, below] = [below, above];
  }
  return above[b.length]!;
}

/** Longest name compared, letters. */
const LETTERS_MAX = 100;

function folded(name: string): string {
  return name
    .slice(0, LETTERS_MAX)
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]/gu, '');
}

/** A name as it is compared, with a bit for each letter it has (those 32 apart share one). */
interface FoldedName {
  readonly name: string;
  readonly letters: number;
}

function compared(name: string): FoldedName {
  let letters = 0;
  for (let i = 0; i < name.length; i += 1) letters |= 1 << (name.charCodeAt(i) & 31);
  return { name, letters };
}

/** How many letters one name has and another has not, at least: so many must be changed. */
function lettersMissing(a: FoldedName, b: FoldedName): number {
  let count = 0;
  for (let left = a.letters & ~b.letters; left !== 0; left &= left - 1) count += 1;
  return count;
}

const foldedLists = new WeakMap<readonly string[], readonly FoldedName[]>();

/** Known names as they are compared; made once for a list. */
function foldedOf(known: readonly string[]): readonly FoldedName[] {
  let names = foldedLists.get(known);
  if (!names) {
    names = known.map((name) => compared(folded(name)));
    foldedLists.set(known, names);
  }
  return names;
}

/** Letters a name must have to be looked for inside another one. */
const INSIDE_MIN = 4;
/** Names suggested at once. */
const SUGGESTED = 3;

/**
 * The known names close to `given`, at most three, the closest first, ignoring case and punctuation:
 * those that begin like it ("temp" for "temp_c"), hold it or are held by it ("Golding"), or differ in at
 * most a third of their letters.
 */
export function nearestNames(given: string, known: readonly string[]): string[] {
  const wanted = folded(given);
  if (wanted.length < 2) return [];
  const asked = compared(wanted);
  // "Goldings" are inside "East Kent Golding" but for their plural.
  const one = wanted.replace(/s$/, '');
  const far = (candidate: FoldedName): number => {
    const { name: other } = candidate;
    const begins = wanted.length > 2 && (other.startsWith(wanted) || wanted.startsWith(other));
    if (begins) return 0.5;
    const most = Math.max(1, Math.max(wanted.length, other.length) / 3);
    const missing = Math.max(lettersMissing(asked, candidate), lettersMissing(candidate, asked));
    const changes = missing > most ? Infinity : distance(wanted, other, most);
    if (changes <= most) return changes;
    const [short, long] = one.length < other.length ? [one, other] : [other, wanted];
    return short.length >= INSIDE_MIN && long.includes(short) ? long.length : Infinity;
  };
  const near: { readonly name: string; readonly far: number }[] = [];
  foldedOf(known).forEach((other, i) => {
    const away = far(other);
    if (away < Infinity) near.push({ name: known[i]!, far: away });
  });
  return near
    .sort((a, b) => a.far - b.far)
    .slice(0, SUGGESTED)
    .map(({ name }) => name);
}

/** The closest of the known names, see `nearestNames`; `undefined` if none is close. */
export function nearestName(given: string, known: readonly string[]): string | undefined {
  return nearestNames(given, known)[0];
}

/** "Saaz", "Saaz or Savinjski Golding". */
export function either(names: readonly string[]): string {
  if (names.length < 2) return names.join('');
  return `${names.slice(0, -1).join(', ')} or ${names.at(-1)}`;
}
