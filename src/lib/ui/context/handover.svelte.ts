// What waits on every page for the open design: its workbench, and a question that another page asked.
import type { Save } from '#shared/schemas/asked.ts';
import type { AnswerStore, KnownAnswers } from '#state/workbench/known-answers.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';

/** What a document or a person asks of a saving. */
export type SaveAsked = Partial<
  Pick<Save, 'limits' | 'just_noticeable' | 'save_at_least' | 'beer_price_per_l'>
>;

/** A question about the blend of the open design: stand in for a hop, or save on it. */
export type Task =
  | { readonly kind: 'replace'; readonly hop: string }
  /** With what a document asks beside its schedule, if it asks anything. */
  | { readonly kind: 'save'; readonly asked?: SaveAsked };

export class Handover {
  /** Kept while other pages are shown, so that its answer is there on the way back. */
  workbench: Workbench | null = null;
  /** What was answered since the page was opened; begun with the first search. */
  known: KnownAnswers | null = null;
  /** Where answers outlive the page; `null` until it is loaded, or where nothing is kept. */
  answers: AnswerStore | null = null;
  /** Taken up by the page of the design once its blend is there. */
  task = $state.raw<Task | null>(null);
  /** Ids of designs to be seen side by side, for the page Compare. */
  compared: readonly string[] | null = null;
  /** The text of a schedule that came in elsewhere, for the dialog in which it is decided upon. */
  arrived: string | null = null;
}
