// Turns a document of the sharing library into a freezer, on a device and on the server alike: a part is found
// by its name at once, and updates whose predecessors never arrive take no memory.
import type * as Y from 'yjs';

type NamedType = ReturnType<Y.Doc['share']['get']> & object;

/**
 * The parts of a document by name. To write an entry, the library searches all names for the part of the entry:
 * with 8000 lots that took seconds. It reads the part's document just before, so this map puts the part it will
 * search for first.
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

/** @param doc to which nothing was written yet. */
export function asFreezer<D extends Y.Doc>(doc: D): D {
  doc.share = new NamedTypes();
  // An update that does not connect to what is there can be dropped: its sender sends it again, with all before
  // it, when the two compare what they have.
  doc.on('afterTransaction', () => {
    if (!doc.store.pendingStructs && !doc.store.pendingDs) return;
    doc.store.pendingStructs = null;
    doc.store.pendingDs = null;
    // These parts were named before the map was replaced.
    for (const [name, part] of doc.share)
      if (part._map.size === 0 && part._start === null && part._eH.l.length === 0)
        doc.share.delete(name);
  });
  return doc;
}

/** Number of entries of a document, deleted ones included. */
export function entriesIn({ store }: Y.Doc): number {
  let entries = 0;
  for (const structs of store.clients.values()) entries += structs.length;
  return entries;
}
