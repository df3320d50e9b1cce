// What may come into a freezer: an update is judged whole before any of it is taken in, nothing waits for what never
// comes, and what is written costs the same for each entry, however many parts there are.
import { describe, expect, it } from 'vitest';
import * as Y from 'yjs';
import { asFreezer } from '#sharing/document.ts';
import { broughtBy } from '#sharing/updates.ts';
import { lot } from '../storage/browser-store.ts';
import { Device, join } from './device.ts';

const bytesOf = (text: string): number[] => [text.length, ...new TextEncoder().encode(text)];
/** A field of a part as the library writes it: what kind of content it has, the part, the field, the content. */
const field = (part: string, name: string, content: readonly number[], kind = 8): number[] => [
  0x20 + kind,
  ...[1, ...bytesOf(part)],
  ...bytesOf(name),
  ...content,
];
/** One entry of the device 7 from a place on, and what is deleted. */
const update = (at: number, entry: readonly number[], deleted: readonly number[] = [0]) =>
  new Uint8Array([1, 1, 7, at, ...entry, ...deleted]);
const ONE = [1, 125, 5];

function written(write: (doc: Y.Doc) => void): Uint8Array {
  const doc = new Y.Doc();
  write(doc);
  return Y.encodeStateAsUpdate(doc);
}

describe('an update', () => {
  it('names the parts it writes into', () => {
    expect(broughtBy(update(0, field('lot:a', 'f:x', ONE)))).toEqual({
      parts: new Set(['lot:a']),
      entries: 1,
    });
    const two = written((doc) => {
      doc.getMap('lot:a').set('f:x', { a: [1] });
      doc.getMap('lot:a').set('f:x', 2);
      doc.getMap('lot:b').set('f:x', 1);
      doc.getMap('lot:b').delete('f:x');
    });
    expect(broughtBy(two)).toEqual({ parts: new Set(['lot:a', 'lot:b']), entries: 5 });
  });

  it.each([
    ['an entry without a length', update(0, field('lot:a', 'f:x', [0]))],
    ['a deleted entry without a length', update(0, field('lot:a', 'f:x', [0], 1))],
    ['an entry that comes after itself', update(0, [0x88, 7, 0, ...ONE])],
    ['an entry before another', update(1, [0x48, 9, 0, ...ONE])],
    ['an entry of a list', update(0, [8, 1, ...bytesOf('lot:a'), ...ONE])],
    ['a hole', new Uint8Array([1, 1, 7, 0, 10, 5, 0])],
    ['what was swept away', new Uint8Array([1, 1, 7, 0, 0, 5, 0])],
    ['nothing deleted', update(0, field('lot:a', 'f:x', ONE), [1, 7, 1, 0, 0])],
    [
      'the entries of a device twice',
      new Uint8Array([
        ...[2, 1, 7, 0, ...field('lot:a', 'f:x', ONE)],
        ...[1, 7, 0, ...field('lot:a', 'f:x', ONE), 0],
      ]),
    ],
    ['half of what it begins with', update(0, field('lot:a', 'f:x', ONE)).slice(0, -1)],
    ['a map where a value belongs', written((doc) => doc.getMap('lot:a').set('x', new Y.Map()))],
  ])('is refused with %s', (_, bytes) => {
    expect(broughtBy(bytes)).toBeNull();
  });

  it('of too many entries is not read to its end', () => {
    const many = written((doc) => {
      for (let i = 0; i < 50; i += 1) doc.getMap('lot:a').set(`f:${i}`, i);
    });
    expect(broughtBy(many, 50)!.entries).toBe(50);
    expect(broughtBy(many.slice(0, -60), 10)).toEqual({ parts: new Set(), entries: Infinity });
    const deletions = new Uint8Array([
      0,
      1,
      7,
      30,
      ...Array.from({ length: 30 }, () => [1, 1]).flat(),
    ]);
    expect(broughtBy(deletions, 29)!.entries).toBe(Infinity);
    expect(broughtBy(deletions)!.entries).toBe(30);
  });

  it('that is broken at its end leaves nothing behind', async () => {
    const [one, other] = [new Device('kettle'), new Device('cellar')];
    one.edit({ 'lot:a': lot('a', 'Citra') });
    await join(one, other);
    const before = Y.encodeStateAsUpdate(one.replica.wire);
    // Its first entry is whole, and the library keeps it: an entry without a length, after which nothing is found.
    const broken = update(0, field('lot:b', 'f:x', [0]), [1]);
    expect(() => Y.applyUpdate(new Y.Doc(), broken)).toThrow();
    expect(broughtBy(broken)).toBeNull();
    expect(Y.encodeStateAsUpdate(one.replica.wire)).toEqual(before);
  });
});

describe('a freezer', () => {
  it('holds nothing that waits for what is missing', () => {
    const doc = asFreezer(new Y.Doc());
    Y.applyUpdate(doc, update(0, field('lot:a', 'f:x', ONE)));
    const before = Y.encodeStateAsUpdate(doc);
    Y.applyUpdate(doc, update(5, field('lot:b', 'f:x', ONE), [1, 7, 1, 9, 3]));
    expect(Y.encodeStateAsUpdate(doc)).toEqual(before);
    expect([...doc.share.keys()]).toEqual(['lot:a']);
    // With what was missing it is taken in.
    const whole = written((other) => {
      other.clientID = 7;
      for (let i = 0; i < 9; i += 1) other.getMap(i === 0 ? 'lot:a' : 'lot:b').set(`f:${i}`, 1);
    });
    Y.applyUpdate(doc, whole);
    expect(doc.getMap('lot:b').size).toBe(8);
  });

  it('finds the name of a part at once, whichever of many it is', () => {
    const doc = asFreezer(new Y.Doc());
    const plain = new Y.Doc();
    for (const into of [doc, plain]) into.clientID = 7;
    for (let i = 0; i < 100; i += 1)
      for (const into of [doc, plain]) into.getMap(`lot:${(i * 37) % 50}`).set(`f:${i}`, i);
    let looked = 0;
    const { entries } = doc.share;
    doc.share.entries = function* looking() {
      for (const entry of entries.call(doc.share)) {
        looked += 1;
        yield entry;
      }
      return undefined;
    };
    expect(Y.encodeStateAsUpdate(doc)).toEqual(Y.encodeStateAsUpdate(plain));
    expect(looked).toBe(100);
  });
});
