// A small cache: for each owner it keeps the newest few values, and frees all of them with the owner.

/** Values by owner and key. */
export class Newest<Owner extends object, Key, Value> {
  readonly #most: number;
  readonly #byOwner = new WeakMap<Owner, Map<Key, Value>>();

  /** @param most how many values are kept for each owner: those asked for last. */
  constructor(most: number) {
    this.#most = most;
  }

  /** The value of that key; made if there is none. */
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
