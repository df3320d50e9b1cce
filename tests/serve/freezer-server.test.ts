// The server of a shared freezer over a real line: devices meet, a killed server loses nothing that they hold,
// and a hostile device is refused with the reason while the others go on.
import type { Socket } from 'node:net';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { WebSocket } from 'ws';
import * as Y from 'yjs';
import { MESSAGE_BYTES_MAX } from '#shared/freezer-terms.ts';
import { lot } from '../storage/browser-store.ts';
import { LinkedDevice, LoopbackServer } from '../sharing/linked.ts';

const LIMITS = {
  messagesPerS: 100,
  bytesPerS: 4_000_000,
  burstS: 10,
  devices: 6,
  bytes: 300_000,
  parts: 80,
  entriesAtOnce: 1000,
  entries: 2000,
};
const WAIT = { timeout: 60_000, interval: 5 };
let server: LoopbackServer;
let devices: LinkedDevice[];
beforeEach(async () => {
  server = new LoopbackServer({ ...LIMITS, strangerMs: 60_000 });
  await server.start();
  devices = ['kettle', 'cellar'].map((name) => new LinkedDevice(name, server));
  devices[0]!.edit({ 'lot:a': lot('a', 'Citra', { grams_on_hand: 500 as never }) });
  for (const device of devices) device.link();
  await equal('Citra');
});
afterEach(async () => {
  for (const device of devices) device.unlink();
  await server.end();
});

/** Until both hold the same, and a lot of this hop. */
async function equal(hop: string): Promise<void> {
  await vi.waitFor(() => {
    const [one, other] = devices.map((d) => JSON.stringify(d.kept()));
    expect(one).toBe(other);
    expect(one).toContain(`"${hop}"`);
  }, WAIT);
}

/** The others are still served. */
async function undisturbed(): Promise<void> {
  const hop = `Hop ${Math.random()}`;
  devices[0]!.edit({ 'lot:z': lot('z', hop) });
  await devices[0]!.step();
  await equal(hop);
}

describe('the server', () => {
  it('that is killed in the midst of writes loses nothing that devices hold', async () => {
    const [one] = devices as [LinkedDevice];
    for (let i = 0; i < 50; i += 1) {
      one.edit({ [`lot:n${i}`]: lot(`n${i}`, `Hop ${i}`) });
      await one.step();
      if (i === 25) await server.stop(true);
    }
    await server.start();
    await equal('Hop 49');
    expect(Object.keys(devices[1]!.kept())).toHaveLength(51);
  });

  it('keeps what all had while nobody is there', async () => {
    for (const device of devices) device.unlink();
    await server.stop();
    await server.start();
    const late = new LinkedDevice('phone', server);
    devices.push(late);
    late.link();
    await vi.waitFor(() => expect(late.kept()).toEqual(devices[0]!.kept()), WAIT);
  });

  it('tells who is there', async () => {
    await vi.waitFor(() => expect(devices[0]!.said?.others).toEqual(['cellar']), WAIT);
    devices[1]!.unlink();
    await vi.waitFor(() => expect(devices[0]!.said?.others).toEqual([]), WAIT);
  });
});

interface Ended {
  readonly code: number;
  readonly reason: string;
}

/** A line of a hostile device; what it is told at the end. */
async function hostile(act: (line: WebSocket) => void): Promise<Ended> {
  const line = new WebSocket(server.url);
  line.on('error', () => undefined);
  return new Promise((ended) => {
    line.on('open', () => act(line));
    line.on('close', (code, reason) => ended({ code, reason: reason.toString() }));
  });
}

const text = (value: string) => Buffer.from(value);
const counted = (bytes: Uint8Array) => {
  const length: number[] = [];
  let rest = bytes.length;
  for (; rest > 127; rest = Math.floor(rest / 128)) length.push((rest % 128) + 128);
  return Buffer.concat([Buffer.from([...length, rest]), bytes]);
};
const message = (kind: number, ...rest: readonly (number | Uint8Array)[]) => {
  const parts = rest.map((part) => (typeof part === 'number' ? Buffer.from([part]) : part));
  return Buffer.concat([counted(text(`freezer-${server.key.id}`)), Buffer.from([kind]), ...parts]);
};
const key = (token: string) => message(2, 0, counted(text(token)));
const update = (bytes: Uint8Array) => message(0, 2, counted(bytes));
/** An update of a new device that writes so. */
function written(write: (doc: Y.Doc) => void): Buffer {
  const doc = new Y.Doc();
  write(doc);
  return update(Y.encodeStateAsUpdate(doc));
}

/** A line that has shown the key. */
async function known(act: (line: WebSocket) => void): Promise<Ended> {
  return hostile((line) => {
    line.once('message', () => act(line));
    line.send(key(server.key.token));
  });
}

describe('a hostile device', () => {
  it.each([
    ['a wrong token', (line: WebSocket) => line.send(key('A'.repeat(22))), 'wrong-key'],
    ['a token of megabytes', (l: WebSocket) => l.send(key('A'.repeat(1e6))), 'flood'],
    ['noise', (line: WebSocket) => line.send(new Uint8Array([255, 255, 255])), 'not-understood'],
    ['nothing', (line: WebSocket) => line.send(new Uint8Array(0)), 'not-understood'],
    ['words', (line: WebSocket) => line.send('let me in'), 'not-understood'],
    [
      'questions without a key',
      (line: WebSocket) => {
        for (let i = 0; i < 100; i += 1) line.send(message(0, 0, 0));
      },
      'flood',
    ],
  ])('is refused %s', async (_, act, reason) => {
    expect((await hostile(act)).reason).toBe(reason);
    await undisturbed();
  });

  it.each([
    [
      'a flood',
      (line: WebSocket) => {
        // Far more than drains away meanwhile, however slowly they are heard.
        for (let i = 0; i < 5000; i += 1) line.send(message(3));
      },
      'flood',
    ],
    ['half a message', (line: WebSocket) => line.send(message(0, 2, 200, 1, 7)), 'not-understood'],
    [
      'a broken update',
      (l: WebSocket) => l.send(update(new Uint8Array(40).fill(9))),
      'not-understood',
    ],
    ['a kind that nobody sends', (l: WebSocket) => l.send(message(6, 1, 65)), 'not-understood'],
    [
      'a greeting of kilobytes',
      (l: WebSocket) => l.send(message(1, text('x'.repeat(3000)))),
      'not-understood',
    ],
    [
      'more than the freezer holds',
      (line: WebSocket) => {
        line.send(written((doc) => doc.getMap('lot:x').set('f:note', 'x'.repeat(400_000))));
      },
      'full',
    ],
    [
      'more parts than there may be',
      (line: WebSocket) =>
        line.send(
          written((doc) => {
            for (let i = 0; i < 100; i += 1) doc.getMap(`lot:many${i}`).set('f:hop', 'x');
          }),
        ),
      'full',
    ],
    [
      'more entries than there may be at once',
      (line: WebSocket) =>
        line.send(
          written((doc) => {
            for (let i = 0; i < 1001; i += 1) doc.getMap('lot:x').set(`f:${i}`, i);
          }),
        ),
      'full',
    ],
    [
      'more entries than there may be',
      (line: WebSocket) => {
        const more = setInterval(() => {
          line.send(
            written((doc) => {
              for (let i = 0; i < 900; i += 1) doc.getMap('lot:x').set(`f:${i}`, i);
            }),
          );
        }, 50);
        line.once('close', () => clearInterval(more));
      },
      'full',
    ],
    [
      'an entry without a length, broken off',
      (line: WebSocket) =>
        line.send(update(new Uint8Array([1, 1, 7, 0, 0x28, 1, 1, 97, 1, 97, 0, 1]))),
      'not-understood',
    ],
    [
      'a map where a value belongs',
      (line: WebSocket) =>
        line.send(written((doc) => doc.getMap('lot:a').set('f:note', new Y.Map()))),
      'not-understood',
    ],
    [
      'a value as deep as a stack',
      (line: WebSocket) => {
        let deep: unknown = 1;
        for (let i = 0; i < 1000; i += 1) deep = [deep];
        line.send(written((doc) => doc.getMap('lot:a').set('f:note', deep)));
      },
      'not-understood',
    ],
  ])('with the key is refused %s', async (_, act, reason) => {
    expect((await known(act)).reason).toBe(reason);
    await undisturbed();
  });

  // Its head alone says how long it is to be: the line ends before any of it is held.
  it.each([MESSAGE_BYTES_MAX + 1, 100_000_000])(
    'is cut off at a message of %i bytes',
    async (size) => {
      const { code } = await known((line) => {
        const head = Buffer.alloc(14);
        head.set([0x82, 0xff]);
        head.writeBigUInt64BE(BigInt(size), 2);
        (line as unknown as { _socket: Socket })._socket.write(head);
      });
      expect([1006, 1009]).toContain(code);
      await undisturbed();
    },
  );

  it('is one too many', async () => {
    const lines = Array.from({ length: 6 }, () => hostile(() => undefined));
    const first = await Promise.race(lines);
    expect(first.reason).toBe('many-devices');
    await undisturbed();
  });

  it('with a clock of another age changes nothing but what is shown of it', async () => {
    const doc = new Y.Doc();
    Y.applyUpdate(doc, Y.encodeStateAsUpdate(devices[0]!.replica.wire));
    doc.getMap('lot:a').set('by', { name: 'x'.repeat(5000), at: 1e300 });
    doc.getMap('lot:a').set('f:note', 'late');
    await known((line) => {
      line.send(update(Y.encodeStateAsUpdate(doc)));
      setTimeout(() => line.close(), 20);
    });
    await vi.waitFor(() => expect(devices[0]!.lot('a')!.note).toBe('late'), WAIT);
    await undisturbed();
    expect(devices[0]!.replica.freezer.changedBy('lot:a')!.name).toHaveLength(40);
  });
});

describe('a device with a wrong link', () => {
  it('is told so, and does not try again', async () => {
    const stranger = new LinkedDevice('stranger', {
      url: server.url,
      key: { ...server.key, token: 'B'.repeat(22) },
    });
    devices.push(stranger);
    stranger.link();
    await vi.waitFor(
      () => expect(stranger.said).toMatchObject({ state: 'refused', refusal: 'wrong-key' }),
      WAIT,
    );
    devices.pop();
    stranger.unlink();
    await undisturbed();
  });
});
