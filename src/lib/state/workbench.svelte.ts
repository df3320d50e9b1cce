// The open design at work: its brief, a drag in progress included, and the newest answer to it. What is
// kept, and every step back, is the workspace's; a brief that the schema refuses never gets there, and
// the last good blend stays. The search is handed in, so that this runs without a worker or a screen.
import type { Blend, DesignAnswer } from '#shared/answer.ts';
import type { Problem } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { DesignProgress } from '#optimize/contract.ts';
import type { Designed } from '#optimize/protocol.ts';
import type { Evidence } from '#optimize/evidence.ts';
import { Inquiries } from './inquiry.svelte.ts';
import type { Workspace } from './workspace.svelte.ts';

export interface Searcher {
  design(brief: Brief): void;
  stop(): void;
}

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

export class Workbench {
  readonly #workspace: Workspace;
  #draft = $state.raw<Brief | null>(null);
  #designed = $state.raw<Designed>()!;
  #aside = $state.raw<Aside | null>(null);
  /** The brief the shown blend answers. */
  #answered = $state.raw<Brief>()!;
  #searching = $state(false);
  #progress = $state.raw<DesignProgress | null>(null);
  #trouble = $state.raw<Trouble | null>(null);

  #asked: Brief;
  /** The brief of the open design as this knows it. */
  #open: Brief;
  #stopping = false;
  #searcher: Searcher | null = null;
  #dragTimer: ReturnType<typeof setTimeout> | undefined;

  /** @param designed the answer to `answered`, made before. */
  constructor(workspace: Workspace, designed: Designed, answered: Brief = workspace.open.brief) {
    this.#workspace = workspace;
    this.#designed = designed;
    this.#answered = answered;
    this.#asked = answered;
    this.#open = workspace.open.brief;
    workspace.follow(() => {
      if (workspace.open.brief !== this.#open) this.#settle();
    });
  }

  /** The brief as the screen shows it, a drag in progress included. */
  readonly brief: Brief = $derived.by(() => this.#draft ?? this.#workspace.open.brief);
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

  /** Who searches, or nobody for a while; what is not answered yet is asked at once. */
  useSearcher(searcher: Searcher | null): void {
    this.#searcher = searcher;
    if (!searcher) this.inquiries.rest();
    else if (this.#searching || this.#open !== this.#answered) this.#search(this.#open);
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
    return this.#workspace.editBrief(name, change, gesture);
  }

  /** Shows a change that is not decided yet; a search follows at most every so often. */
  preview(change: (brief: Brief) => Brief): void {
    this.#draft = change(this.#workspace.open.brief);
    this.#dragTimer ??= setTimeout(() => {
      this.#dragTimer = undefined;
      if (this.#draft) this.#search(this.#draft);
    }, DRAG_SEARCH_MS);
  }

  /** Gives up a change that was only shown. */
  cancelPreview(): void {
    if (this.#draft) this.#settle();
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
    this.#search(this.#workspace.open.brief);
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
    this.#answered = this.#asked;
    this.#workspace.keepBlend(this.#asked, blends[0]?.additions ?? []);
    this.#ended(null);
  }

  heardRefusal(problems: readonly Problem[]): void {
    this.#ended({ kind: 'refused', problems });
  }

  heardFailure(reason: string): void {
    this.#ended({ kind: 'failed', reason });
  }

  #ended(trouble: Trouble | null): void {
    this.#searching = false;
    this.#progress = null;
    this.#trouble = trouble;
  }

  #settle(): void {
    clearTimeout(this.#dragTimer);
    this.#dragTimer = undefined;
    this.#draft = null;
    this.#open = this.#workspace.open.brief;
    this.#search(this.#open);
  }

  #search(brief: Brief): void {
    this.inquiries.rest();
    this.#asked = brief;
    this.#searching = true;
    this.#stopping = false;
    this.#progress = null;
    this.#searcher?.design(brief);
  }
}
