// The watch over a worker, on a worker and locks played by the test: every way of ending is told once,
// silence alone never counts as an end, and a worker we end ourselves is not mourned.
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { Alive, Reply } from '#optimize/worker/protocol.ts';
import { LOADING_MS, WatchedWorker, type Locks, type RawWorker } from '#ui/kit/search-thread.ts';

const DAY_MS = 86_400_000;

let worker: RawWorker;
let ended: string[];
let heard: Reply[];
let thread: WatchedWorker;
/** Those who wait for a lock, by its name. */
let queue: Map<string, () => void>;

const locks: Locks = {
  request: (name, { signal }, held) =>
    new Promise((_, reject) => {
      queue.set(name, held);
      signal.addEventListener('abort', () => {
        queue.delete(name);
        reject(signal.reason as Error);
      });
    }),
};
const say = (data: Reply | Alive) => worker.onmessage?.({ data } as MessageEvent<Reply | Alive>);

beforeEach(() => {
  vi.useFakeTimers();
  queue = new Map();
  [ended, heard] = [[], []];
  worker = { postMessage: vi.fn(), terminate: vi.fn(), onmessage: null, onerror: null };
  thread = new WatchedWorker(worker, locks);
  thread.onended = (reason) => ended.push(reason);
  thread.onmessage = ({ data }) => heard.push(data);
});
afterEach(() => vi.useRealTimers());

it('passes on replies, not the sign of life', () => {
  say({ kind: 'alive', lock: 'a' });
  say({ kind: 'overtaken', id: 1 });
  expect(heard).toEqual([{ kind: 'overtaken', id: 1 }]);
});

it('is told when the lock of a worker comes free', () => {
  say({ kind: 'alive', lock: 'a' });
  queue.get('a')!();
  expect(ended).toEqual(['the browser ended it']);
});

it('waits without end for a worker that is alive and silent', () => {
  say({ kind: 'alive', lock: 'a' });
  vi.advanceTimersByTime(DAY_MS);
  expect(ended).toEqual([]);
});

it('gives up a worker that never says that it is there, with locks or without', () => {
  vi.advanceTimersByTime(LOADING_MS - 1);
  expect(ended).toEqual([]);
  vi.advanceTimersByTime(1);
  expect(ended).toEqual(['it did not load within 30 s']);
});

it('does not give up one that is there, where the browser has no locks', () => {
  say({ kind: 'alive', lock: null });
  vi.advanceTimersByTime(DAY_MS);
  expect([ended, queue.size]).toEqual([[], 0]);
});

it('is told of a script that cannot be loaded', () => {
  worker.onerror?.({ message: '' } as ErrorEvent);
  expect(ended).toEqual(['it could not be loaded']);
});

it('says nothing of a worker it was asked to end', async () => {
  say({ kind: 'alive', lock: 'a' });
  thread.terminate();
  await vi.advanceTimersByTimeAsync(DAY_MS);
  expect([ended, queue.size]).toEqual([[], 0]);
  expect(worker.terminate).toHaveBeenCalledOnce();
});
