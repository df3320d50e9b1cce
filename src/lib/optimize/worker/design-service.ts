// What the search's thread does, without the thread itself: takes requests, searches in short slices, always replies.
// Between slices the event loop runs, so that a stop or a newer request is heard at once. A newer
// request overtakes the one at work; only the newest waits. Dragged wishes are answered at the next
// look at the mail, and the design at work is given up: it answers wishes nobody has any more. A new
// design in turn gives up the dragged wishes at work, which over long lists take more than a slice.
import type { DesignAnswer } from '#shared/answers/answer.ts';
import { reasonOf, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Resting } from '#optimize/pacing/clock.ts';
import type { DesignOptions, DesignProgress } from '#optimize/questions/options.ts';
import { wishesAround } from '#optimize/live/wishes-around.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import type { Designed, LiveRequest, Reply, ThreadRequest } from './protocol.ts';

/** Longest time between two looks for messages, ms, as far as single steps of the search allow. */
const SLICE_MS = 8;
/** The same of work done slowly, ms. */
const SLOW_SLICE_MS = 1;

export type DesignSearch = Generator<DesignProgress, Outcome<DesignAnswer>, 'stop' | undefined>;
export type DesignRequest = Extract<ThreadRequest, { kind: 'design' }>;

export interface DesignHost {
  /** Opens a search. */
  readonly open: (brief: Brief, options: DesignOptions) => DesignSearch;
  /** The blend to show for dragged wishes: in a few milliseconds, but for long lists of lots. One at a time. */
  readonly live: (brief: Brief, hops: readonly string[]) => Resting<Outcome<LiveBlend>>;
  /** Joins the answer to what it rests on. */
  readonly describe: (answer: DesignAnswer) => Designed;
  readonly reply: (reply: Reply) => void;
  /** Lets the event loop deliver waiting messages. */
  readonly rest: () => Promise<void>;
  /** The same for work done slowly: leaves the processor to others for several times a slice. */
  readonly pause: () => Promise<void>;
  /** Clock, ms. */
  readonly now: () => number;
}

export class DesignService {
  readonly #host: DesignHost;
  #waiting: DesignRequest | null = null;
  #current: number | null = null;
  #stopped = false;
  #givenUp = false;
  /** Dragged wishes that wait; whether some are at work, and whether these are given up. */
  #live: LiveRequest | null = null;
  #isLive = false;
  #liveGivenUp = false;
  /** Whether what is got ready leaves most of the time to others. */
  #slowly = false;
  /** Whether the code for dragged wishes has run as often as it takes to be compiled. */
  #isRehearsed = false;

  constructor(host: DesignHost) {
    this.#host = host;
  }

  design(request: DesignRequest): void {
    const { reply } = this.#host;
    if (this.#waiting) reply({ kind: 'overtaken', id: this.#waiting.id });
    if (this.#live) reply({ kind: 'overtaken', id: this.#live.id });
    this.#live = null;
    this.#liveGivenUp = true;
    this.#waiting = request;
    if (this.#current === null) void this.#work();
  }

  stop(id: number): void {
    if (id === this.#current) this.#stopped = true;
  }

  /** Answers dragged wishes; of several that wait only the newest. */
  live(request: LiveRequest): void {
    const { reply } = this.#host;
    this.#givenUp = true;
    if (this.#waiting) reply({ kind: 'overtaken', id: this.#waiting.id });
    this.#waiting = null;
    const older = this.#live;
    this.#live = request;
    if (older) reply({ kind: 'overtaken', id: older.id });
    if (!this.#isLive) void this.#answerLives();
  }

  /**
   * Gets ready for dragged wishes, if there is nothing else to do.
   * @param slowly whether to leave most of the time to others; holds for what is being got ready, too.
   */
  ready(brief: Brief, hops: readonly string[], slowly: boolean): void {
    this.#slowly = slowly;
    if (this.#current === null && !this.#isLive) void this.#answerLives({ brief, hops });
  }

  /** @param likely wishes that may be dragged: got ready for until some are. */
  async #answerLives(likely?: Pick<LiveRequest, 'brief' | 'hops'>): Promise<void> {
    const { reply, rest } = this.#host;
    this.#isLive = true;
    this.#liveGivenUp = false;
    if (likely) await this.#getReady(likely);
    await rest();
    for (let request = this.#live; request; request = this.#live) {
      this.#live = null;
      this.#liveGivenUp = false;
      reply(await this.#liveReply(request));
    }
    this.#isLive = false;
  }

  /**
   * Finds the blend for wishes nobody dragged yet and, the first time, for those around them: then a drag finds the
   * code compiled. What is wrong with them is reported when they are asked for.
   */
  async #getReady({ brief, hops }: Pick<LiveRequest, 'brief' | 'hops'>): Promise<void> {
    const around = this.#isRehearsed ? [] : wishesAround(brief.target);
    for (const target of [brief.target, ...around]) {
      const likely = { brief: { ...brief, target }, hops };
      const found = await this.#livePart(likely, true).catch(() => null);
      if (!found?.ok) return;
    }
    this.#isRehearsed = true;
  }

  async #liveReply(request: LiveRequest): Promise<Reply> {
    const { id } = request;
    try {
      const outcome = await this.#livePart(request);
      if (outcome === null) return { kind: 'overtaken', id };
      return outcome.ok
        ? { kind: 'live', id, blend: outcome.value }
        : { kind: 'refused', id, problems: outcome.problems };
    } catch (fault) {
      return { kind: 'failed', id, reason: reasonOf(fault) };
    }
  }

  /** Finds a live blend by slices; `null` when a design was asked for, or other wishes than those only `isLikely`. */
  async #livePart(
    { brief, hops }: Pick<LiveRequest, 'brief' | 'hops'>,
    isLikely = false,
  ): Promise<Outcome<LiveBlend> | null> {
    const { live, now, rest, pause } = this.#host;
    const part = live(brief, hops);
    for (;;) {
      const slowly = isLikely && this.#slowly;
      const until = now() + (slowly ? SLOW_SLICE_MS : SLICE_MS);
      do {
        const step = part.next();
        if (step.done) return step.value;
      } while (now() < until);
      await (slowly ? pause() : rest());
      if (this.#liveGivenUp || (isLikely && this.#live)) {
        part.return(undefined as never);
        return null;
      }
    }
  }

  async #work(): Promise<void> {
    while (this.#waiting) {
      const request = this.#waiting;
      this.#waiting = null;
      this.#current = request.id;
      this.#stopped = false;
      this.#givenUp = false;
      this.#host.reply(await this.#closingReply(request));
      this.#current = null;
    }
  }

  async #closingReply({ id, brief, options }: DesignRequest): Promise<Reply> {
    try {
      const outcome = await this.#searched(id, this.#host.open(brief, options));
      if (outcome === null) return { kind: 'overtaken', id };
      if (!outcome.ok) return { kind: 'refused', id, problems: outcome.problems };
      return { kind: 'answer', id, designed: this.#host.describe(outcome.value) };
    } catch (fault) {
      return { kind: 'failed', id, reason: reasonOf(fault) };
    }
  }

  /** Runs a search to its end; `null` when a newer request came first. */
  async #searched(id: number, search: DesignSearch): Promise<Outcome<DesignAnswer> | null> {
    const { now, rest, reply } = this.#host;
    for (;;) {
      await rest();
      if (this.#waiting || this.#givenUp) {
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
