// What the thread that answers questions about blends does, without the thread itself. Questions of different topics
// take turns in short slices; a newer one of the same topic overtakes. Each gets one closing reply.
import { reasonOf } from '#shared/outcome.ts';
import type { QuestionRun } from './questions.ts';
import type { Ask, Reply, Topic } from './protocol.ts';

/** Longest turn of a question before the other questions and new messages get theirs, ms. */
const SLICE_MS = 8;
/** Least time between two reports of one question, ms; the first goes out at once. */
const REPORT_MS = 120;

export interface QuestionHost {
  readonly open: (ask: Ask) => QuestionRun;
  readonly reply: (reply: Reply) => void;
  /** Lets the event loop deliver waiting messages. */
  readonly rest: () => Promise<void>;
  /** Clock, ms. */
  readonly now: () => number;
}

interface OpenQuestion {
  readonly id: number;
  readonly ask: Ask;
  search: QuestionRun | null;
  stopped: boolean;
  reported: number;
}

export class QuestionService {
  readonly #host: QuestionHost;
  readonly #open = new Map<Topic, OpenQuestion>();
  #working = false;

  constructor(host: QuestionHost) {
    this.#host = host;
  }

  ask(ask: Ask): void {
    const older = this.#open.get(ask.topic);
    if (older) this.forget(older.id);
    const { id, topic } = ask;
    this.#open.set(topic, { id, ask, search: null, stopped: false, reported: -Infinity });
    if (!this.#working) void this.#work();
  }

  /** Ends a question with what is found so far. */
  stop(id: number): void {
    const question = this.#questionOf(id);
    if (question) question.stopped = true;
  }

  /** Drops a question that nobody waits for. */
  forget(id: number): void {
    const question = this.#questionOf(id);
    if (!question) return;
    this.#open.delete(question.ask.topic);
    question.search?.return(undefined as never);
    this.#host.reply({ kind: 'overtaken', id });
  }

  #questionOf(id: number): OpenQuestion | undefined {
    return [...this.#open.values()].find((question) => question.id === id);
  }

  async #work(): Promise<void> {
    this.#working = true;
    while (this.#open.size > 0) {
      for (const topic of [...this.#open.keys()]) {
        await this.#host.rest();
        const question = this.#open.get(topic);
        if (question) this.#turn(question);
      }
    }
    this.#working = false;
  }

  #turn(question: OpenQuestion): void {
    const { id, ask } = question;
    const closing = this.#closing(question);
    if (!closing) return;
    this.#open.delete(ask.topic);
    this.#host.reply({ ...closing, id });
  }

  /** Works on a question for one turn; its closing reply once there is one. */
  #closing(question: OpenQuestion): Reply | null {
    const { now, open, reply } = this.#host;
    const { id } = question;
    try {
      question.search ??= open(question.ask);
      const until = now() + SLICE_MS;
      do {
        const step = question.search.next(question.stopped ? 'stop' : undefined);
        if (step.done) {
          return step.value.ok
            ? { kind: 'finding', id, finding: step.value.value }
            : { kind: 'refused', id, problems: step.value.problems };
        }
        if (now() - question.reported < REPORT_MS) continue;
        question.reported = now();
        reply({ kind: 'step', id, step: step.value });
      } while (now() < until);
      return null;
    } catch (fault) {
      return { kind: 'failed', id, reason: reasonOf(fault) };
    }
  }
}
