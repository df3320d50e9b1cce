// Hostile updates of a shared freezer, as a device that has the key may send them: maps of wrong shapes and types,
// nested types where values belong, prototype keys, figures that are none, depth, length, bytes changed at random.
// A device takes them in: it does not fail, comes to rest, keeps what it had, takes only sound parts, tells of the
// rest where it is and what to do, and a second device that hears of it comes to the same.
import { OutgoingMessage } from '@hocuspocus/server';
import * as Y from 'yjs';
import { savedBatchSchema } from '#shared/schemas/batch.ts';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { readEntry, type WorkspacePart } from '#storage/entries.ts';
import { fieldsOf } from '#sharing/fields.ts';
import { broughtBy } from '#sharing/updates.ts';
import { unreadProblems } from '#ui/sharing/changed-parts.ts';
import { lot } from '../storage/browser-store.ts';
import { Device, PLANNED } from '../sharing/device.ts';
import { Gate, USUAL_LIMITS } from '../../src/serve/freezer-gate.ts';
import { anything, mutatedValue, type Draw } from './hostile.ts';
import { figures, must, same, readable, type Ran } from './laws.ts';

const LOT = lot('a', 'Citra', { grams_on_hand: 500 as never, note: 'cold' });
const BATCH = {
  ...savedBatchSchema.parse({ id: 'x', name: 'x', planned: PLANNED, brewed: PLANNED }),
  drawn: [{ lot: 'a', grams: 60 as never }],
};
const PARTS: Readonly<Record<string, WorkspacePart>> = {
  'lot:a': LOT,
  'lot:b': lot('b', 'Saaz'),
  'batch:x': BATCH,
  'design:d': {
    ...savedDesign(SEED_BRIEFS[0]!.brief),
    id: 'd',
    saved_at: '2026-03-31T10:00:00.000Z',
  },
  usual: PLANNED as WorkspacePart,
  own_tables: { prices: [{ hop: 'Citra', form: 'cone', price_per_kg: '36' }] },
};
/** What is there before anything hostile comes, and what of it nobody touches. */
const OWN = lot('own', 'Perle', { grams_on_hand: 250 as never });

const KEYS = [
  ...Object.keys(PARTS),
  ...['lot:a', 'lot:a', 'batch:x', 'lot:', 'lot:__proto__', 'batch:constructor', 'design:d/b'],
  ...['', '__proto__', 'learning', 'order', 'aside:lot:a', 'x'.repeat(300), 'lot:\ud800'],
];
const FIELDS = [
  ...['f:note', 'f:hop', 'f:grams_on_hand', 'f:analysis', 'f:analysis/alpha_pct', 'f:brief/batch'],
  ...['f:__proto__', 'f:brief/__proto__', 'f:analysis/constructor', 'f:', 'f:drawn', 'f:id', 'f:/'],
  ...['m:tastings/a', 'm:prices/a', 'm:__proto__/a', 'm:', 'g:first', 'g:x', 'g:', 'gone', 'by'],
  ...['version', 'counted', 'x', '', 'constructor', 'f:toString'],
];
/** Entries of one map, now and then. */
const MANY = 10_000;
const NO_JSON = [NaN, Infinity, -Infinity, -0, 2n ** 63n - 1n, undefined, new Uint8Array(3)];

const nested = (depth: number): unknown => {
  let value: unknown = 1;
  for (let i = 0; i < depth; i += 1) value = i % 2 === 0 ? [value] : { a: value };
  return value;
};

/** A shared type where a value belongs. */
function sharedType(draw: Draw): unknown {
  const map = new Y.Map<unknown>([['a', draw.of(NO_JSON)]]);
  return draw.of<() => unknown>([
    () => map,
    () => Y.Array.from([1, map]),
    () => new Y.Text('x'),
    () => new Y.XmlElement('b'),
    () => new Y.Doc(),
  ])();
}

function valueFor(draw: Draw, now: unknown): unknown {
  const kind = draw.below(12);
  if (kind < 4 && now !== undefined) return mutatedValue(draw, now);
  if (kind < 6) return anything(draw);
  if (kind === 6) return draw.of(NO_JSON);
  if (kind === 7) return sharedType(draw);
  if (kind === 8) return nested(draw.of([3, 30, 300, 1000]));
  if (kind === 9) return 'x'.repeat(draw.of([300, 5000, 100_000]));
  if (kind === 10) return { at: draw.of(NO_JSON), member: anything(draw) };
  return { ...(now as object), [draw.of(['__proto__', 'x', 'id'])]: anything(draw) };
}

/** What stands there, where it is a value and no shared type. */
function plainIn(map: Y.Map<unknown>, name: string): unknown {
  const now = map.get(name);
  return now instanceof Y.AbstractType || now instanceof Y.Doc ? undefined : now;
}

/** Writes into one top-level type, mostly a map as the page makes it. */
function write(draw: Draw, doc: Y.Doc, key: string): void {
  if (draw.chance(0.05)) {
    doc.getArray(key).push([1, anything(draw)]);
    return;
  }
  if (draw.chance(0.05)) {
    doc.getText(key).insert(0, 'x');
    return;
  }
  const map = doc.getMap<unknown>(key);
  const part = PARTS[key];
  if (part && draw.chance(0.8)) {
    for (const [name, value] of fieldsOf(key, part))
      map.set(name, draw.chance(0.1) ? valueFor(draw, value) : value);
    if (draw.chance(0.8)) map.set('version', 1);
    if (key.startsWith('lot:') && draw.chance(0.5)) map.set('counted', true);
  }
  if (draw.chance(0.001)) {
    const many = draw.of(['f:x', 'g:x', 'm:tastings/', 'm:prices/']);
    for (let i = 0; i < MANY; i += 1) map.set(many + i, { at: i, member: i });
  }
  for (let more = draw.below(4); more > 0; more -= 1) {
    const name = draw.chance(0.9) ? draw.of(FIELDS) : `g:${draw.below(1000)}`;
    if (draw.chance(0.1)) map.delete(name);
    else map.set(name, valueFor(draw, plainIn(map, name)));
  }
}

/** @param seen what the device has: in some cases the other has joined before it turns hostile. */
function hostileUpdate(draw: Draw, seen: Uint8Array): Uint8Array {
  const doc = new Y.Doc();
  const hasJoined = draw.chance(0.3);
  if (hasJoined) Y.applyUpdate(doc, seen);
  doc.clientID = 1 + draw.below(2 ** 31);
  const keys = Array.from({ length: 1 + draw.below(4) }, () => draw.of(KEYS));
  doc.transact(() => {
    for (const key of keys) {
      try {
        write(draw, doc, key);
      } catch {
        // The library does not let everything be written, nor one name bear two types.
      }
    }
  });
  const written = doc.store.clients.get(doc.clientID)?.length ?? 0;
  // In some cases the beginning is missing. (Of what was seen, what was deleted would be known without what came instead.)
  const isCut = !hasJoined && draw.chance(0.1);
  const from = new Map([[doc.clientID, isCut ? draw.below(1 + written) : 0]]);
  const update = Y.encodeStateAsUpdate(doc, Y.encodeStateVector(from));
  // A change by chance of what it has seen might strike what nobody touches.
  if (!hasJoined && draw.chance(0.15)) {
    for (let changes = 1 + draw.below(4); changes > 0; changes -= 1)
      update[draw.below(update.length)] = draw.below(256);
  }
  return update;
}

/** As the line takes an update in, or leaves it; what it takes, the library can read. */
function hear({ replica }: Device, update: Uint8Array): boolean {
  if (broughtBy(update) === null) return false;
  Y.applyUpdate(replica.wire, update, 'line');
  const { pendingStructs, pendingDs } = replica.wire.store;
  must(!pendingStructs && !pendingDs, 'nothing waits for what may never come', null);
  return true;
}

/** A device with work of its own that has met an empty freezer. */
async function begun(
  name: string,
  parts: Readonly<Record<string, WorkspacePart>>,
): Promise<Device> {
  const device = new Device(name);
  // The same each time.
  device.replica.freezer.doc.clientID = name.length;
  device.edit({ ...parts, 'lot:own': OWN });
  device.replica.heard();
  await device.replica.step();
  passing(Y.encodeStateAsUpdate(device.replica.wire), true);
  return device;
}

/** Takes turns until nothing more arrives: two are the most that one update may need. */
async function settled(device: Device): Promise<ReadonlyMap<string, string>> {
  await device.replica.step();
  await device.replica.step();
  const { arrived, unreadable } = await device.replica.step();
  must(arrived === 0, 'a device comes to rest', device.kept());
  return unreadable;
}

/** The gate of the server judges anything, and lets through whatever a page writes. */
function passing(update: Uint8Array, isPage = false): void {
  const gate = new Gate(
    USUAL_LIMITS,
    () => 0,
    () => ({ parts: new Map(), entries: 0 }),
  );
  gate.letIn();
  const message = new OutgoingMessage('freezer').createSyncMessage().writeUpdate(update);
  const refusal = gate.refusal(message.toUint8Array());
  must(!isPage || refusal === null, 'what a page writes is let through', refusal);
}

export async function sharedMapsCase(draw: Draw): Promise<Ran> {
  // In half of the cases it has itself what the others write into.
  const device = await begun('kettle', draw.chance(0.5) ? PARTS : {});
  const update = hostileUpdate(draw, Y.encodeStateAsUpdate(device.replica.wire));
  const text = Buffer.from(update).toString('base64');
  passing(update);
  hear(device, update);
  let unreadable = await settled(device);
  const kept = device.kept();
  same(kept['lot:own'], OWN);
  for (const [key, part] of Object.entries(kept)) {
    figures(part);
    same(readEntry({ key, version: 1, value: part }), { kind: 'part', part });
  }
  readable(
    unreadProblems(workspaceOf([savedDesign(SEED_BRIEFS[0]!.brief) as never], []), unreadable),
  );

  // An edit here of what came, and a device that hears of all of it.
  for (const [key, part] of Object.entries(kept))
    if (/^(lot|design):/.test(key) && key !== 'lot:own')
      device.edit({ [key]: { ...part, note: 'top store' } as WorkspacePart });
    else if (key.startsWith('batch:')) device.edit({ [key]: { ...part, drawn: [] } as never });
  unreadable = await settled(device);
  const other = new Device('cellar');
  const whole = Y.encodeStateAsUpdate(device.replica.wire);
  must(hear(other, whole), 'what a device tells is let through', text);
  other.replica.heard();
  const unread = await settled(other);
  same([...unread.keys()].sort(), [...unreadable.keys()].sort());
  const sound = (of: Device) =>
    Object.fromEntries(Object.entries(of.kept()).filter(([key]) => !unread.has(key)));
  same(sound(other), sound(device));
  return { text, taken: unreadable.size === 0 };
}
