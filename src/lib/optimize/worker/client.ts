// The screen's side of the design: the newest brief is searched, and while a wish is dragged the newest
// wishes are answered at once. Of what is dragged one question is on its way and the newest waits, so
// that no queue builds up. Passes on only what belongs to the newest request.
import type { Problem } from '#shared/outcome.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { DesignOptions, DesignProgress } from '#optimize/questions/options.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { Designed, LiveRequest } from './protocol.ts';
import { Thread, type SearchThread } from './thread.ts';

/** Who hears about the newest request. Exactly one of the last three closes a design. */
export interface SearchListener {
  /** The blend for wishes that are being dragged; never an older one after a newer one. */
  live(blend: LiveBlend): void;
  progress(progress: DesignProgress): void;
  answered(designed: Designed): void;
  refused(problems: readonly Problem[]): void;
  failed(reason: string): void;
}

interface Dragged {
  readonly brief: Brief;
  readonly hops: readonly string[];
}

export class SearchClient {
  readonly #thread: Thread;
  readonly #listener: SearchListener;
  /** The open design. */
  #design: number | null = null;
  /** The question about dragged wishes on its way. */
  #live: number | null = null;
  #next: Dragged | null = null;
  readonly #afterFrame: (send: () => void) => void;

  /**
   * @param afterFrame calls back once what the page changes now is on the screen: a thread woken before that may take the
   * processor away from it.
   */
  constructor(
    start: () => SearchThread,
    listener: SearchListener,
    afterFrame: (send: () => void) => void = (send) => send(),
  ) {
    this.#thread = new Thread(start);
    this.#listener = listener;
    this.#afterFrame = afterFrame;
  }

  /** Designs from this brief; anything older is forgotten. */
  design(brief: Brief, options: DesignOptions = {}): void {
    this.#forget();
    const id = this.#thread.nextId();
    this.#design = id;
    this.#thread.ask(
      { kind: 'design', id, brief, options },
      {
        step: (reply) => {
          if (reply.kind === 'progress') this.#listener.progress(reply.progress);
        },
        closed: (reply) => {
          this.#design = null;
          if (reply.kind === 'answer') this.#listener.answered(reply.designed);
          else if (reply.kind === 'refused') this.#listener.refused(reply.problems);
          else if (reply.kind === 'failed') this.#listener.failed(reply.reason);
        },
        lost: (reason) => {
          this.#design = null;
          this.#listener.failed(reason);
        },
      },
    );
  }

  /**
   * Asks for the blend to show while wishes are dragged; an open design is given up.
   * @param hops names of the hops of the blend last designed.
   */
  live(brief: Brief, hops: readonly string[]): void {
    if (this.#design !== null) this.#forget();
    const isFirst = this.#next === null;
    this.#next = { brief, hops };
    if (isFirst && this.#live === null) this.#afterFrame(() => this.#sendNext());
  }

  /** From here on everything is asked of the model with what a person brings to it. */
  teach(knowledge: OwnKnowledge): void {
    this.#thread.teach(knowledge);
  }

  /** Gets the thread ready for wishes of this brief to be dragged; `slowly` leaves most of the time to others. */
  ready(brief: Brief, hops: readonly string[], slowly: boolean): void {
    this.#thread.tell({ kind: 'ready', brief, hops, slowly });
  }

  /** Ends the search with the best blend so far. */
  stop(): void {
    if (this.#design !== null) this.#thread.stop(this.#design);
  }

  /** Nobody waits any more for what is open. */
  forget(): void {
    this.stop();
    this.#forget();
  }

  /** Forgets what is open and ends the thread. */
  close(): void {
    this.#forget();
    this.#thread.close();
  }

  #forget(): void {
    if (this.#design !== null) this.#thread.drop(this.#design);
    if (this.#live !== null) this.#thread.drop(this.#live);
    this.#design = null;
    this.#live = null;
    this.#next = null;
  }

  #sendNext(): void {
    const dragged = this.#next;
    if (!dragged || this.#live !== null) return;
    this.#next = null;
    const id = this.#thread.nextId();
    this.#live = id;
    const request: LiveRequest = { kind: 'live', id, ...dragged };
    const done = () => {
      this.#live = null;
      this.#sendNext();
    };
    this.#thread.ask(request, {
      step: () => {},
      closed: (reply) => {
        done();
        if (reply.kind === 'live') this.#listener.live(reply.blend);
      },
      // The last blend stays until the wish is let go; the design that follows says what is wrong.
      lost: done,
    });
  }
}
