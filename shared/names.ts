// Guesses which known name was meant by an unknown one.

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

/**
 * The known name closest to `given`, ignoring case and punctuation: one that begins like it
 * ("temp" for "temp_c"), or differs in at most a third of its letters. `undefined` if none does.
 */
export function nearestName(given: string, known: readonly string[]): string | undefined {
  const wanted = folded(given.slice(0, 100));
  if (wanted.length < 2) return undefined;
  let best: string | undefined;
  let least = Infinity;
  for (const name of known) {
    const other = folded(name);
    const begins = wanted.length > 2 && (other.startsWith(wanted) || wanted.startsWith(other));
    const far = begins ? 0.5 : distance(wanted, other);
    if (far < least && far <= Math.max(1, Math.max(wanted.length, other.length) / 3)) {
      best = name;
      least = far;
    }
  }
  return best;
}
