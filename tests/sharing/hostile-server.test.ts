// A server that sends what no page writes: the device takes nothing of it, says so, ends the line, and goes on with
// what it has.
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { WebSocketServer } from 'ws';
import * as Y from 'yjs';
import { FREEZER_PATH, freezerName } from '#shared/freezer-terms.ts';
import { lot } from '../storage/browser-store.ts';
import { LinkedDevice } from './linked.ts';

const KEY = { id: 'abcdefgh', token: 'A'.repeat(22) };
const NAME = new TextEncoder().encode(freezerName(KEY));
const message = (...rest: readonly number[]) => new Uint8Array([NAME.length, ...NAME, ...rest]);
const SCOPE = new TextEncoder().encode('read-write');
const LET_IN = message(2, 2, SCOPE.length, ...SCOPE);
const update = (bytes: readonly number[]) => message(0, 2, bytes.length, ...bytes);

let http: Server;
let says: Uint8Array;
beforeEach(async () => {
  http = createServer();
  const sockets = new WebSocketServer({ server: http, path: FREEZER_PATH });
  sockets.on('connection', (socket) => {
    socket.once('message', () => {
      socket.send(LET_IN);
      socket.send(says);
    });
  });
  await new Promise<void>((listening) => http.listen(0, '127.0.0.1', listening));
});
afterEach(async () => {
  http.closeAllConnections();
  await new Promise((closed) => http.close(closed));
});

const doc = new Y.Doc();
doc.getMap('lot:a').set('f:note', new Y.Map());
it.each([
  ['an entry without a length, broken off', update([1, 1, 7, 0, 0x28, 1, 1, 97, 1, 97, 0, 1])],
  ['a map where a value belongs', update([...Y.encodeStateAsUpdate(doc)])],
  ['half a message', message(0, 2, 100, 1, 7)],
  ['a kind of message that is none', message(77)],
])('a device takes nothing of %s', async (_, sent) => {
  says = sent;
  const { port } = http.address() as AddressInfo;
  const device = new LinkedDevice('kettle', {
    url: `ws://127.0.0.1:${port}${FREEZER_PATH}`,
    key: KEY,
  });
  device.edit({ 'lot:a': lot('a', 'Citra') });
  device.replica.heard();
  await device.step();
  const before = Y.encodeStateAsUpdate(device.replica.wire);
  device.link();
  await vi.waitFor(
    () => expect(device.said).toMatchObject({ state: 'refused', refusal: 'not-understood' }),
    { timeout: 60_000, interval: 5 },
  );
  expect(Y.encodeStateAsUpdate(device.replica.wire)).toEqual(before);
  device.edit({ 'lot:a': lot('a', 'Citra', { note: 'top store' }) });
  await device.replica.step();
  expect(device.lot('a')!.note).toBe('top store');
  device.unlink();
});
