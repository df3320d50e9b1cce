// How names of hops are compared: what is written differently and means the same has one key.

/** Keys of names seen; a name is asked for many times. */
const keys = new Map<string, string>();
const KEYS_MAX = 10_000;

/**
 * Letters and digits only, of any script, lower case, accents folded: how names are compared. A name
 * without any is compared as it stands.
 */
export function nameKey(name: string): string {
  let key = keys.get(name);
  if (key === undefined) {
    const lower = name.normalize('NFKD').toLowerCase();
    // U+0300 to U+036F are the accents; marks of other scripts are as good as letters.
    key = lower.replace(/[\u0300-\u036f]|[^\p{L}\p{M}\p{N}]/gu, '') || lower.trim();
    if (keys.size >= KEYS_MAX) keys.clear();
    keys.set(name, key);
  }
  return key;
}
