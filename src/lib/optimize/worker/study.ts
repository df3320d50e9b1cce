// The thread that answers questions about blends, free of the thread. Questions of different topics
// take turns in short slices; a newer one of the same topic overtakes. Each gets one closing reply.
import type { Answering } from './questions.ts';
import type { Ask, Reply, Topic } from './protocol.ts';

/** Longest turn of a question before the others and the mail have theirs, ms. */
const SLICE_MS = 8;
/** Least time between two reports of one question, ms; the first goes out at once. */
const REPORT_MS = 120;

export interface Desk {
  readonly open: (ask: Ask) => Answering;
  readonly reply: (reply: Reply) => void;
  /** Lets the event loop deliver waiting messages. */
  readonly rest: () => Promise<void>;
  /** Clock, ms. */
  readonly now: () => number;
}

interface Job {
  readonly id: number;
  readonly ask: Ask;
  search: Answering | null;
  stopped: boolean;
  reported: number;
}

export class Study {
  readonly #desk: Desk;
  readonly #jobs = new Map<Topic, Job>();
  #working = false;

  constructor(desk: Desk) {
    this.#desk = desk;
  }

  ask(ask: Ask): void {
    const older = this.#jobs.get(ask.topic);
    if (older) this.forget(older.id);
    const { id, topic } = ask;
    this.#jobs.set(topic, { id, ask, search: null, stopped: false, reported: -Infinity });
    if (!this.#working) void this.#work();
  }

  /** Ends a question with what is found so far. */
  stop(id: number): void {
    const job = this.#jobOf(id);
    if (job) job.stopped = true;
  }

  /** Drops a question that nobody waits for. */
  forget(id: number): void {
    const job = this.#jobOf(id);
    if (!job) return;
    this.#jobs.delete(job.ask.topic);
    job.search?.return(undefined as never);
    this.#desk.reply({ kind: 'overtaken', id });
  }

  #jobOf(id: number): Job | undefined {
    return [...this.#jobs.values()].find((job) => job.id === id);
  }

  async #work(): Promise<void> {
    this.#working = true;
    while (this.#jobs.size > 0) {
      for (const topic of [...this.#jobs.keys()]) {
        await this.#desk.rest();
        const job = this.#jobs.get(topic);
        if (job) this.#turn(job);
      }
    }
    this.#working = false;
  }

  #turn(job: Job): void {
    const { id, ask } = job;
    const closing = this.#closing(job);
    if (!closing) return;
    this.#jobs.delete(ask.topic);
    this.#desk.reply({ ...closing, id });
  }

  /** Works on a question for one turn; its closing reply once there is one. */
  #closing(job: Job): Reply | null {
    const { now, open, reply } = this.#desk;
    const { id } = job;
    try {
      job.search ??= open(job.ask);
      const until = now() + SLICE_MS;
      do {
        const step = job.search.next(job.stopped ? 'stop' : undefined);
        if (step.done) {
          return step.value.ok
            ? { kind: 'finding', id, finding: step.value.value }
            : { kind: 'refused', id, problems: step.value.problems };
        }
        if (now() - job.reported < REPORT_MS) continue;
        job.reported = now();
        reply({ kind: 'step', id, step: step.value });
      } while (now() < until);
      return null;
    } catch (fault) {
      return { kind: 'failed', id, reason: fault instanceof Error ? fault.message : String(fault) };
    }
  }
}
