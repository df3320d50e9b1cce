// The search's thread, free of the thread: takes requests, searches in short slices, always replies.
// Between slices the event loop runs, so that a stop or a newer request is heard at once. A newer
// request overtakes the one at work; only the newest waits.
import type { DesignAnswer } from '#shared/answer.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { DesignOptions, DesignProgress } from './contract.ts';
import type { Designed, Reply, Request } from './protocol.ts';

/** Longest time between two looks at the mail, ms, as far as single steps of the search allow. */
const SLICE_MS = 15;

export type Search = Generator<DesignProgress, Outcome<DesignAnswer>, 'stop' | undefined>;
export type DesignRequest = Extract<Request, { kind: 'design' }>;

export interface Workshop {
  /** Opens a search. */
  readonly open: (brief: Brief, options: DesignOptions) => Search;
  /** Joins the answer to what it rests on. */
  readonly describe: (answer: DesignAnswer) => Designed;
  readonly reply: (reply: Reply) => void;
  /** Lets the event loop deliver waiting messages. */
  readonly rest: () => Promise<void>;
  /** Clock, ms. */
  readonly now: () => number;
}

export class Service {
  readonly #workshop: Workshop;
  #waiting: DesignRequest | null = null;
  #current: number | null = null;
  #stopped = false;

  constructor(workshop: Workshop) {
    this.#workshop = workshop;
  }

  design(request: DesignRequest): void {
    if (this.#waiting) this.#workshop.reply({ kind: 'overtaken', id: this.#waiting.id });
    this.#waiting = request;
    if (this.#current === null) void this.#work();
  }

  stop(id: number): void {
    if (id === this.#current) this.#stopped = true;
  }

  async #work(): Promise<void> {
    while (this.#waiting) {
      const request = this.#waiting;
      this.#waiting = null;
      this.#current = request.id;
      this.#stopped = false;
      this.#workshop.reply(await this.#closingReply(request));
      this.#current = null;
    }
  }

  async #closingReply({ id, brief, options }: DesignRequest): Promise<Reply> {
    try {
      const outcome = await this.#searched(id, this.#workshop.open(brief, options));
      if (outcome === null) return { kind: 'overtaken', id };
      if (!outcome.ok) return { kind: 'refused', id, problems: outcome.problems };
      return { kind: 'answer', id, designed: this.#workshop.describe(outcome.value) };
    } catch (fault) {
      return { kind: 'failed', id, reason: fault instanceof Error ? fault.message : String(fault) };
    }
  }

  /** Runs a search to its end; `null` when a newer request came first. */
  async #searched(id: number, search: Search): Promise<Outcome<DesignAnswer> | null> {
    const { now, rest, reply } = this.#workshop;
    for (;;) {
      await rest();
      if (this.#waiting) {
        search.return(undefined as never);
        return null;
      }
      const until = now() + SLICE_MS;
      let latest: DesignProgress | null = null;
      do {
        const step = search.next(this.#stopped ? 'stop' : undefined);
        if (step.done) return step.value;
        latest = step.value;
      } while (!this.#stopped && now() < until);
      reply({ kind: 'progress', id, progress: latest });
    }
  }
}
