// What is made once and used again: of all that was made for an owner the newest few stay, and all of it goes
// with its owner.

/** Values by owner and key. */
export class Newest<Owner extends object, Key, Value> {
  readonly #most: number;
  readonly #byOwner = new WeakMap<Owner, Map<Key, Value>>();

  /** @param most how many of an owner stay; those asked for last. */
  constructor(most: number) {
    this.#most = most;
  }

  /** What has that key, made where there is none. */
  of(owner: Owner, key: Key, make: () => Value): Value {
    const known = this.#byOwner.get(owner) ?? new Map<Key, Value>();
    this.#byOwner.set(owner, known);
    const found = known.get(key) ?? make();
    known.delete(key);
    known.set(key, found);
    for (const oldest of known.keys()) {
      if (known.size <= this.#most) break;
      known.delete(oldest);
    }
    return found;
  }
}
