// The open brief, its history, and the newest answer to it. Edits are checked as whole briefs: a
// brief the schema refuses never becomes the present one, and the last good blend stays.
// Search and storage are handed in, so that this runs without a worker, a database or a screen.
import type { Blend, DesignAnswer } from '#shared/answer.ts';
import type { Problem } from '#shared/outcome.ts';
import { check } from '#shared/read.ts';
import { briefSchema, type Brief } from '#shared/schemas/brief.ts';
import type { DesignProgress } from '#optimize/contract.ts';
import type { Designed } from '#optimize/protocol.ts';
import type { Evidence } from '#optimize/evidence.ts';
import * as history from './history.ts';
import { Inquiries } from './inquiry.svelte.ts';

export interface Searcher {
  design(brief: Brief): void;
  stop(): void;
}

/** Keeps the brief; resolves to `null` or the reason it could not be kept. */
export type Keeper = (brief: Brief) => Promise<string | null>;

export type Saving =
  | { readonly state: 'untouched' | 'saving' | 'saved' }
  | { readonly state: 'not_saved' | 'not_restored'; readonly reason: string };

/** A blend shown in place of the designed one. */
export interface Aside {
  readonly blend: Blend;
  readonly evidence: Evidence;
  /** What it is, and what is proven of it or changed by it, in words. */
  readonly title: string;
  readonly told: string;
  /** Whether it is the best of its own hops for the brief, so that its wishes have prices. */
  readonly designed: boolean;
}

export type Trouble =
  | { readonly kind: 'refused'; readonly problems: readonly Problem[] }
  | { readonly kind: 'failed'; readonly reason: string }
  /** Stopped by the user before any blend was found. */
  | { readonly kind: 'stopped' };

/** While a handle is dragged a new search starts at most this often, ms. */
const DRAG_SEARCH_MS = 200;
/** Rest after an edit before it is written to storage, ms. */
const SAVE_AFTER_MS = 200;

export class Workbench {
  #history = $state.raw<history.History<Brief>>()!;
  #draft = $state.raw<Brief | null>(null);
  #designed = $state.raw<Designed>()!;
  #aside = $state.raw<Aside | null>(null);
  /** The brief the shown blend answers. */
  #answered = $state.raw<Brief>()!;
  #searching = $state(false);
  #progress = $state.raw<DesignProgress | null>(null);
  #trouble = $state.raw<Trouble | null>(null);
  #saving = $state.raw<Saving>({ state: 'untouched' });

  #asked: Brief | null = null;
  #stopping = false;
  #searcher: Searcher | null = null;
  #keeper: Keeper | null = null;
  #dragTimer: ReturnType<typeof setTimeout> | undefined;
  #saveTimer: ReturnType<typeof setTimeout> | undefined;

  /** @param designed the answer to `brief`, made before. */
  constructor(brief: Brief, designed: Designed) {
    this.#history = history.historyOf(brief);
    this.#designed = designed;
    this.#answered = brief;
  }

  /** The brief as the screen shows it, a drag in progress included. */
  readonly brief: Brief = $derived(this.#draft ?? this.#history.present);
  readonly undoName: string | null = $derived(history.undoName(this.#history));
  readonly redoName: string | null = $derived(history.redoName(this.#history));
  /** The best blend found for the brief. */
  readonly designedBlend: Blend | null = $derived(this.#designed.answer.blends[0] ?? null);
  readonly blend: Blend | null = $derived(this.#aside?.blend ?? this.designedBlend);
  readonly evidence: Evidence | null = $derived(
    this.#aside?.evidence ?? this.#designed.evidence[0] ?? null,
  );
  /** What can be asked about it. */
  readonly inquiries = new Inquiries();

  get answer(): DesignAnswer {
    return this.#designed.answer;
  }
  get answeredBrief(): Brief {
    return this.#answered;
  }
  get aside(): Aside | null {
    return this.#aside;
  }
  get dragging(): boolean {
    return this.#draft !== null;
  }
  get searching(): boolean {
    return this.#searching;
  }
  get progress(): DesignProgress | null {
    return this.#progress;
  }
  get trouble(): Trouble | null {
    return this.#trouble;
  }
  /** Whether anything was edited since the page came. */
  get touched(): boolean {
    return this.#saving.state !== 'untouched' || this.#draft !== null;
  }
  get saving(): Saving {
    return this.#saving;
  }

  useSearcher(searcher: Searcher): void {
    this.#searcher = searcher;
  }
  /** From here on edits are kept; one that waited for it is kept at once. */
  useKeeper(keeper: Keeper): void {
    this.#keeper = keeper;
    this.flush();
  }

  /**
   * Takes an edit in as one step, or as part of the step of the same gesture.
   * @returns what the schema finds wrong with the brief after the edit; then nothing has changed.
   */
  edit(
    name: string,
    change: (brief: Brief) => Brief,
    gesture: string | null = null,
  ): string | null {
    const checked = check(change(this.#history.present), briefSchema);
    if (!checked.ok) {
      return checked.problems.map((p) => `${p.message}. ${p.cure}.`).join(' ');
    }
    this.#history = history.edited(this.#history, name, checked.value, gesture);
    this.#settle();
    return null;
  }

  /** Shows a change that is not decided yet; a search follows at most every so often. */
  preview(change: (brief: Brief) => Brief): void {
    this.#draft = change(this.#history.present);
    this.#dragTimer ??= setTimeout(() => {
      this.#dragTimer = undefined;
      if (this.#draft) this.#search(this.#draft);
    }, DRAG_SEARCH_MS);
  }

  /** Gives up a change that was only shown. */
  cancelPreview(): void {
    if (this.#draft) this.#settle(false);
  }

  undo(): void {
    if (this.undoName === null) return;
    this.#history = history.undone(this.#history);
    this.#settle();
  }

  redo(): void {
    if (this.redoName === null) return;
    this.#history = history.redone(this.#history);
    this.#settle();
  }

  /** Starts over from a brief kept earlier, without a step back. */
  restore(brief: Brief): void {
    this.#history = history.historyOf(brief);
    this.#saving = { state: 'saved' };
    this.#settle(false);
  }

  /** The brief kept earlier could not be read: the demo stands, and it is said why. */
  couldNotRestore(reason: string): void {
    this.#saving = { state: 'not_restored', reason };
  }

  /** Shows another blend; the designed one comes back by `null`, or with the next answer. */
  show(aside: Aside | null): void {
    this.#aside = aside;
  }

  /** Ends the search with the best blend so far; where there is none yet, the last one stays. */
  stop(): void {
    this.#stopping = true;
    this.#searcher?.stop();
  }

  /** Asks again, after a failure. */
  retry(): void {
    this.#search(this.#history.present);
  }

  heardProgress(progress: DesignProgress): void {
    this.#progress = progress;
  }

  heardAnswer(designed: Designed): void {
    const { status, blends } = designed.answer;
    if (this.#stopping && status === 'closest' && blends[0]?.additions.length === 0) {
      this.#ended({ kind: 'stopped' });
      return;
    }
    this.#designed = designed;
    this.#aside = null;
    this.inquiries.clear();
    this.#answered = this.#asked!;
    this.#ended(null);
  }

  heardRefusal(problems: readonly Problem[]): void {
    this.#ended({ kind: 'refused', problems });
  }

  heardFailure(reason: string): void {
    this.#ended({ kind: 'failed', reason });
  }

  /** Writes what has not been written yet, now. */
  flush(): void {
    if (this.#saving.state === 'saving') void this.#save();
  }

  #ended(trouble: Trouble | null): void {
    this.#searching = false;
    this.#progress = null;
    this.#trouble = trouble;
  }

  #settle(save = true): void {
    clearTimeout(this.#dragTimer);
    this.#dragTimer = undefined;
    this.#draft = null;
    this.#search(this.#history.present);
    if (!save) return;
    clearTimeout(this.#saveTimer);
    this.#saving = { state: 'saving' };
    this.#saveTimer = setTimeout(() => void this.#save(), SAVE_AFTER_MS);
  }

  #search(brief: Brief): void {
    this.inquiries.rest();
    this.#asked = brief;
    this.#searching = true;
    this.#stopping = false;
    this.#progress = null;
    this.#searcher?.design(brief);
  }

  async #save(): Promise<void> {
    clearTimeout(this.#saveTimer);
    if (!this.#keeper) return;
    const brief = this.#history.present;
    const reason = await this.#keeper(brief);
    if (brief !== this.#history.present) return;
    this.#saving = reason === null ? { state: 'saved' } : { state: 'not_saved', reason };
  }
}
