// Learning on the page: asks the thread what all batches teach, keeps it as one step, and asks for the
// next batch after one that was tasted.
import { advice } from '#shared/outcome.ts';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { TastedBrew } from '#shared/schemas/tastings.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import type { Lesson } from '#engine/learning/learn.ts';
import type { NextBatch } from '#optimize/questions/next-batch.ts';
import type { Asking } from '#optimize/worker/asking.ts';
import { withSingle } from '#state/documents/documents.ts';
import { atStages } from '#state/documents/stages.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { plain } from '#ui/kit/plain.svelte.ts';

/** Whether two results of learning are the same, apart from their time and number. */
function teachesTheSame(one: Learned, other: Learned): boolean {
  const said = ({ version: _, made: __, ...rest }: Learned) => JSON.stringify(rest);
  return said(one) === said(other);
}

export class AskingLessons {
  /** What was learned last since the page was opened. */
  lesson = $state.raw<Lesson | null>(null);
  working = $state(false);
  fault = $state<string | null>(null);
  readonly #workspace: Workspace;
  readonly #asking: Asking;

  /** @param asking of the page, which ends it. */
  constructor(workspace: Workspace, asking: Asking) {
    this.#workspace = workspace;
    this.#asking = asking;
  }

  /** Nobody waits any more for what is open. */
  close(): void {
    this.#asking.forget('learn');
    this.#asking.forget('next_batch');
  }

  #begin(): void {
    this.working = true;
    this.fault = null;
  }
  #end(fault: string | null): void {
    this.working = false;
    this.fault = fault;
  }
  readonly #troubles = {
    step: () => undefined,
    refused: (problems: Parameters<Parameters<Asking['ask']>[2]['refused']>[0]) =>
      this.#end(problems.map(advice).join(' ')),
    failed: (reason: string) =>
      this.#end(`It could not be worked out: ${reason}. Reload the page.`),
  };

  /** Learns from all batches and keeps it where it says something new; `after` follows where that went well. */
  learn(after: () => void = () => undefined): void {
    const { batches, learning } = this.#workspace.document;
    const brews = batches.map(({ id, name, brewed, measured, lab, tastings }): TastedBrew => ({
      id,
      name,
      brewed,
      measured,
      lab,
      tastings,
    }));
    const version = (learning?.learned.version ?? 0) + 1;
    this.#begin();
    this.#asking.ask('learn', plain({ brews, version, made: new Date().toISOString() }), {
      ...this.#troubles,
      found: (lesson) => {
        this.lesson = lesson;
        const isNews = !learning?.in_use || !teachesTheSame(learning.learned, lesson.learned);
        const kept = { in_use: true, learned: lesson.learned };
        this.#end(
          isNews
            ? this.#workspace.edit('learn from tastings', (d) => withSingle(d, 'learning', kept))
            : null,
        );
        if (this.fault === null) after();
      },
    });
  }

  /** Learns, then asks for the brew changed as little as it can be. */
  next(batch: SavedBatch, design: SavedDesign, found: (next: NextBatch) => void): void {
    const { batch: size, stages, additions } = batch.brewed;
    this.learn(() => {
      this.#begin();
      this.#asking.teach(this.#workspace.knowledge);
      const question = {
        brief: { ...atStages(design.brief, stages), batch: size },
        brewed: additions,
      };
      this.#asking.ask('next_batch', plain(question), {
        ...this.#troubles,
        found: (next) => {
          this.#end(null);
          found(next);
        },
      });
    });
  }
}
