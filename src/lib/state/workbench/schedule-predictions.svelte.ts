// Predictions of schedules, computed by the search's worker: 500 draws of a beer on the page's own thread would
// delay every key press. Each schedule is asked for once; until its prediction arrives it is `null`, and the
// page says so.
import { SvelteMap } from 'svelte/reactivity';
import type { Prediction } from '#shared/answers/prediction.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { NO_KNOWLEDGE, sameKnowledge, type OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Question } from '#optimize/worker/protocol.ts';
import type { Asker } from './inquiry.svelte.ts';

/** Which model is asked: with what was learned from tastings, or without. */
export type Taught = 'taught' | 'untaught';

export class SchedulePredictions {
  readonly #asker: Pick<Asker, 'ask' | 'teach'>;
  readonly #knowledge: () => OwnKnowledge;
  /** What a person adds to the published model, and the predictions present and missing under each model. */
  #taught = NO_KNOWLEDGE;
  #known = new SvelteMap<string, Outcome<Prediction>>();
  readonly #wanted = new Map<string, Question<'schedule'>>();
  #isAsking = false;

  /** @param knowledge what a person adds to the published model now. */
  constructor(asker: Pick<Asker, 'ask' | 'teach'>, knowledge: () => OwnKnowledge) {
    this.#asker = asker;
    this.#knowledge = knowledge;
  }

  /** The prediction of a schedule; `null` while it is computed, and the reader is notified when it arrives. */
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
    // Not during the read itself: the answer may be available at once.
    queueMicrotask(() => this.#askNext());
    return null;
  }

  /** Asks for one prediction at a time, the newest first. */
  #askNext(): void {
    const newest = [...this.#wanted].at(-1);
    if (!newest || this.#isAsking) return;
    const [key, question] = newest;
    const known = this.#known;
    this.#wanted.delete(key);
    this.#isAsking = true;
    const settle = (outcome: Outcome<Prediction>) => {
      this.#isAsking = false;
      known.set(key, outcome);
      this.#askNext();
    };
    this.#asker.teach(this.#taught);
    this.#asker.ask('schedule', question, {
      step: () => undefined,
      found: (prediction) => settle(success(prediction)),
      refused: (problems) => settle(failure(...problems)),
      failed: (reason) => {
        const message = `what this brew gives could not be worked out: ${reason}`;
        settle(failure({ path: '', message, cure: 'Reload the page' }));
      },
    });
  }
}
