// A few of the ordeals of four devices and a server; `npm run apart` has as many as wanted.
import { afterEach, beforeEach, expect, it } from 'vitest';
import { LoopbackServer } from '../sharing/linked.ts';
import { ordeal } from './apart.ts';

let server: LoopbackServer;
beforeEach(async () => {
  server = new LoopbackServer();
  await server.start();
});
afterEach(() => server.end());

it.each([1, 2, 3, 4, 5])('four devices end equal with nothing lost (%i)', async (seed) => {
  expect((await ordeal(seed, server, 40)).faults).toEqual([]);
});
