// What schedules give, worked out by the search's thread: 500 draws of a beer on the page's own would hold up
// every key. Each is asked once; until it is there it is `null`, and the page says so.
import { SvelteMap } from 'svelte/reactivity';
import type { Prediction } from '#shared/answers/answer.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { NO_KNOWLEDGE, sameKnowledge, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Question } from '#optimize/worker/protocol.ts';
import type { Asker } from './inquiry.svelte.ts';

/** Which of two models is asked: the one with what tastings taught, or the one before it. */
export type Taught = 'taught' | 'untaught';

export class SchedulePredictions {
  readonly #asker: Pick<Asker, 'ask' | 'teach'>;
  readonly #knowledge: () => OwnKnowledge;
  /** What is brought to the published model, and what is known and wanted of both. */
  #taught = NO_KNOWLEDGE;
  #known = new SvelteMap<string, Outcome<Prediction>>();
  readonly #wanted = new Map<string, Question<'schedule'>>();
  #isAsking = false;

  /** @param knowledge what is brought to the published model now. */
  constructor(asker: Pick<Asker, 'ask' | 'teach'>, knowledge: () => OwnKnowledge) {
    this.#asker = asker;
    this.#knowledge = knowledge;
  }

  /** What the schedule gives; `null` while that is worked out, and whoever reads it hears of it. */
  of(schedule: Schedule, by: Taught = 'taught'): Outcome<Prediction> | null {
    const knowledge = this.#knowledge();
    if (!sameKnowledge(knowledge, this.#taught)) {
      this.#taught = knowledge;
      this.#known = new SvelteMap();
      this.#wanted.clear();
    }
    const key = `${by} ${JSON.stringify(schedule)}`;
    const found = this.#known.get(key);
    if (found) return found;
    this.#wanted.set(key, { schedule, untaught: by === 'untaught' });
    // Not while somebody reads: an answer may be there at once.
    queueMicrotask(() => this.#askNext());
    return null;
  }

  /** One after the other, the newest first. */
  #askNext(): void {
    const newest = [...this.#wanted].at(-1);
    if (!newest || this.#isAsking) return;
    const [key, question] = newest;
    const known = this.#known;
    this.#wanted.delete(key);
    this.#isAsking = true;
    const told = (outcome: Outcome<Prediction>) => {
      this.#isAsking = false;
      known.set(key, outcome);
      this.#askNext();
    };
    this.#asker.teach(this.#taught);
    this.#asker.ask('schedule', question, {
      step: () => undefined,
      found: (prediction) => told(success(prediction)),
      refused: (problems) => told(failure(...problems)),
      failed: (reason) => {
        const message = `what this brew gives could not be worked out: ${reason}`;
        told(failure({ path: '', message, cure: 'Reload the page' }));
      },
    });
  }
}
