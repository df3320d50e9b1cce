// The screen's side of the search: sends the newest brief, passes on only what belongs to it.
// A dead or deaf worker is ended and replaced, a few times; then it is said that it cannot run.
import type { Problem } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { DesignOptions, DesignProgress } from './contract.ts';
import type { Designed, Reply, Request } from './protocol.ts';

/** The part of a `Worker` used here. */
export interface SearchThread {
  postMessage(request: Request): void;
  terminate(): void;
  onmessage: ((event: MessageEvent<Reply>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
}

/** Who hears about the newest request. Exactly one of the last three closes it. */
export interface SearchListener {
  progress(progress: DesignProgress): void;
  answered(designed: Designed): void;
  refused(problems: readonly Problem[]): void;
  failed(reason: string): void;
}

/** Deaths in a row after which the worker is not started again. */
const LIVES = 3;
/** How long a stop may take before the worker counts as deaf, ms: far above a slice. */
const STOP_GRACE_MS = 2000;

export class SearchClient {
  readonly #start: () => SearchThread;
  readonly #listener: SearchListener;
  #thread: SearchThread | null = null;
  #deaths = 0;
  #id = 0;
  #open: Extract<Request, { kind: 'design' }> | null = null;
  #deaf: ReturnType<typeof setTimeout> | undefined;

  /** @param start makes the worker; called again for each replacement. */
  constructor(start: () => SearchThread, listener: SearchListener) {
    this.#start = start;
    this.#listener = listener;
  }

  /** Designs from this brief; anything older is forgotten. */
  design(brief: Brief, options: DesignOptions = {}): void {
    clearTimeout(this.#deaf);
    this.#id += 1;
    this.#open = { kind: 'design', id: this.#id, brief, options };
    this.#send(this.#open);
  }

  /** Starts the worker ahead of the first brief, so that it is ready by then. */
  warm(): void {
    try {
      this.#thread ??= this.#started();
    } catch {
      // Told when a design is asked for.
    }
  }

  /** Ends the search with the best blend so far. */
  stop(): void {
    if (!this.#open) return;
    this.#send({ kind: 'stop', id: this.#open.id });
    clearTimeout(this.#deaf);
    this.#deaf = setTimeout(() => {
      this.#open = null;
      this.#end();
      this.#listener.failed('The search did not stop in time and was ended');
    }, STOP_GRACE_MS);
  }

  /** Forgets the open request and ends the worker. */
  close(): void {
    this.#open = null;
    this.#end();
  }

  #send(request: Request): void {
    try {
      this.#thread ??= this.#started();
      this.#thread.postMessage(request);
    } catch (fault) {
      this.#died(fault instanceof Error ? fault.message : String(fault));
    }
  }

  #started(): SearchThread {
    const thread = this.#start();
    thread.onmessage = ({ data }) => this.#heard(data);
    thread.onerror = (event) => this.#died(event.message || 'the search could not be loaded');
    return thread;
  }

  #end(): void {
    clearTimeout(this.#deaf);
    this.#thread?.terminate();
    this.#thread = null;
  }

  #died(reason: string): void {
    this.#end();
    this.#deaths += 1;
    const lost = this.#open;
    if (!lost) return;
    if (this.#deaths < LIVES) {
      this.#send(lost);
      return;
    }
    this.#open = null;
    this.#deaths = 0;
    this.#listener.failed(reason);
  }

  #heard(reply: Reply): void {
    if (reply.id !== this.#open?.id) return;
    if (reply.kind === 'progress') {
      this.#listener.progress(reply.progress);
      return;
    }
    clearTimeout(this.#deaf);
    this.#open = null;
    this.#deaths = 0;
    if (reply.kind === 'answer') this.#listener.answered(reply.designed);
    else if (reply.kind === 'refused') this.#listener.refused(reply.problems);
    else if (reply.kind === 'failed') this.#listener.failed(reply.reason);
  }
}
