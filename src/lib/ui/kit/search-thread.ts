// Starts one of the search's threads and notices every way in which it can end. A worker that is killed
// raises no event, and one at a long step is silent too, so silence proves nothing: the worker holds a
// lock while it lives, and the browser gives the lock to us when it ends, however busy the machine is.
import type { Alive, Reply, ThreadRequest } from '#optimize/worker/protocol.ts';
import type { SearchThread } from '#optimize/worker/thread.ts';

/**
 * How long a worker may take to say that it is there, ms. Its script comes from where the page came
 * from; this is many times what that takes, so that only a script that never comes is given up.
 */
export const LOADING_MS = 30_000;

/** The parts of a `Worker` used here. */
export interface RawWorker {
  postMessage(request: ThreadRequest): void;
  terminate(): void;
  onmessage: ((event: MessageEvent<Reply | Alive>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
}

/** The part of the browser's locks used here. */
export interface Locks {
  request(name: string, options: { signal: AbortSignal }, held: () => void): Promise<unknown>;
}

export class WatchedWorker implements SearchThread {
  onmessage: SearchThread['onmessage'] = null;
  onended: SearchThread['onended'] = null;
  readonly #worker: RawWorker;
  readonly #locks: Locks;
  readonly #watch = new AbortController();
  readonly #loading: ReturnType<typeof setTimeout>;

  constructor(worker: RawWorker, locks: Locks) {
    this.#worker = worker;
    this.#locks = locks;
    worker.onmessage = (event) => {
      if (event.data.kind === 'alive') this.#follow(event.data);
      else this.onmessage?.(event as MessageEvent<Reply>);
    };
    worker.onerror = (event) => this.onended?.(event.message || 'it could not be loaded');
    this.#loading = setTimeout(
      () => this.onended?.(`it did not load within ${LOADING_MS / 1000} s`),
      LOADING_MS,
    );
  }

  postMessage(request: ThreadRequest): void {
    this.#worker.postMessage(request);
  }

  terminate(): void {
    clearTimeout(this.#loading);
    this.#watch.abort();
    this.#worker.onmessage = null;
    this.#worker.onerror = null;
    this.#worker.terminate();
  }

  /** Waits in line for the lock that the worker holds while it lives. */
  #follow({ lock }: Alive): void {
    clearTimeout(this.#loading);
    if (lock === null) return;
    this.#locks
      .request(lock, this.#watch, () => this.onended?.('the browser ended it'))
      .catch(() => {
        // Given up, because we ended the worker ourselves.
      });
  }
}

/** A new thread of the search. */
export function startSearchThread(): SearchThread {
  const worker = new Worker(new URL('../../optimize/worker/worker.ts', import.meta.url), {
    type: 'module',
  });
  return new WatchedWorker(worker, navigator.locks);
}
