// A small cache: of the values made for an owner the newest few are kept, and all of them are freed with the owner.

/** Values by owner and key. */
export class Newest<Owner extends object, Key, Value> {
  readonly #most: number;
  readonly #byOwner = new WeakMap<Owner, Map<Key, Value>>();

  /** @param most how many values of an owner are kept: those asked for last. */
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
