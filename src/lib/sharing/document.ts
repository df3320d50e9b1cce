// What makes a document of the library a freezer, on a device and on the server alike: the name of a part is found at
// once, and nothing is held that waits for what may never come.
import type * as Y from 'yjs';

type NamedType = ReturnType<Y.Doc['share']['get']> & object;

/**
 * The parts of a document by name. To write an entry the library looks through all names for the one of its part:
 * 8000 lots took it seconds. It asks the part for its document just before, and so the part it looks for comes first.
 */
class NamedTypes extends Map<string, NamedType> {
  #asked: string | null = null;

  override set(name: string, part: NamedType): this {
    let { doc } = part;
    Object.defineProperty(part, 'doc', {
      configurable: true,
      enumerable: true,
      get: () => {
        this.#asked = name;
        return doc;
      },
      set: (given: Y.Doc | null) => {
        doc = given;
      },
    });
    return super.set(name, part);
  }

  override *entries(): MapIterator<[string, NamedType]> {
    const first = this.#asked;
    const part = first === null ? undefined : this.get(first);
    if (first !== null && part) yield [first, part];
    for (const entry of super.entries()) if (entry[0] !== first) yield entry;
  }
}

/** @param doc that nothing was written into yet. */
export function asFreezer<D extends Y.Doc>(doc: D): D {
  doc.share = new NamedTypes();
  // What does not join on to what is there is no loss: whoever sent it sends it again, and all before it, when the
  // two compare what they have.
  doc.on('afterTransaction', () => {
    if (!doc.store.pendingStructs && !doc.store.pendingDs) return;
    doc.store.pendingStructs = null;
    doc.store.pendingDs = null;
    // Its parts were named before it was held up.
    for (const [name, part] of doc.share)
      if (part._map.size === 0 && part._start === null && part._eH.l.length === 0)
        doc.share.delete(name);
  });
  return doc;
}

/** How many entries a document holds, deleted ones too. */
export function entriesIn({ store }: Y.Doc): number {
  let entries = 0;
  for (const structs of store.clients.values()) entries += structs.length;
  return entries;
}
