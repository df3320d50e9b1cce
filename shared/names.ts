// Guesses which known names may be meant by an unknown one.

/** How many letters must be changed, added or taken away (Levenshtein distance). */
function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i += 1) {
    const next = [i];
    for (let j = 1; j <= b.length; j += 1) {
      const swap = row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(swap, row[j]! + 1, next[j - 1]! + 1));
    }
    row = next;
  }
  return row.at(-1)!;
}

const folded = (name: string) => name.toLowerCase().replace(/[^\p{L}\p{N}]/gu, '');

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
  const wanted = folded(given.slice(0, 100));
  if (wanted.length < 2) return [];
  const far = (name: string): number => {
    const other = folded(name);
    const begins = wanted.length > 2 && (other.startsWith(wanted) || wanted.startsWith(other));
    if (begins) return 0.5;
    const changes = distance(wanted, other);
    if (changes <= Math.max(1, Math.max(wanted.length, other.length) / 3)) return changes;
    // "Goldings" are inside "East Kent Golding" but for their plural.
    const one = wanted.replace(/s$/, '');
    const [short, long] = one.length < other.length ? [one, other] : [other, wanted];
    return short.length >= INSIDE_MIN && long.includes(short) ? long.length : Infinity;
  };
  return known
    .map((name) => ({ name, far: far(name) }))
    .filter((one) => one.far < Infinity)
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
