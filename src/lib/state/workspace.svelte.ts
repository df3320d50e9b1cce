// Everything a person keeps, with one history over all of it: every edit of a brief, a lot or the list
// of designs is one named step. Changed parts are checked by their schema; an edit that the schema
// refuses changes nothing. The store is handed in, so that this runs without a database or a screen.
import { advice } from '#shared/outcome.ts';
import type { Addition, Brief } from '#shared/schemas/brief.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import type { OwnAdditions } from './by-hand.ts';
import { checkedChange, withElsewhere } from './changes.ts';
import * as documents from './documents.ts';
import * as history from './history.ts';
import { pricesOf, type StockPrices } from './stock-prices.ts';
import type { Clash, Elsewhere, Keeper, News, Saving } from './keeping.ts';

/** Rest after an edit before it is written to storage, ms. */
const SAVE_AFTER_MS = 200;

export class Workspace {
  #history = $state.raw<history.History<WorkspaceDocument>>()!;
  #saving = $state.raw<Saving>({ state: 'untouched' });
  #clash = $state.raw<Clash | null>(null);
  #keeper: Keeper | null = null;
  #timer: ReturnType<typeof setTimeout> | undefined;
  readonly #followers = new Set<() => void>();

  /** @param starter the invented workspace of a first visit. */
  constructor(readonly starter: WorkspaceDocument) {
    this.#history = history.historyOf(starter);
  }

  readonly document: WorkspaceDocument = $derived(this.#history.present);
  /** The design at work. */
  readonly open: SavedDesign = $derived(documents.openDesign(this.#history.present));
  readonly #lots: readonly SavedLot[] = $derived(this.#history.present.lots);
  /** What the lots cost: holds for hops whose price nobody gave elsewhere. */
  readonly prices: StockPrices = $derived(pricesOf(this.#lots));
  readonly undoName: string | null = $derived(history.undoName(this.#history));
  readonly redoName: string | null = $derived(history.redoName(this.#history));

  get saving(): Saving {
    return this.#saving;
  }
  /** The open design as another tab has saved it meanwhile. */
  get clash(): Clash | null {
    return this.#clash;
  }

  /** Calls after every change of the document; returns how to stop. */
  follow(changed: () => void): () => void {
    this.#followers.add(changed);
    return () => this.#followers.delete(changed);
  }

  /**
   * Takes an edit in as one step, or as part of the step of the same gesture.
   * @returns what the schema finds wrong after the edit; then nothing has changed.
   */
  edit(
    name: string,
    change: (document: WorkspaceDocument) => WorkspaceDocument,
    gesture: string | null = null,
  ): string | null {
    const before = this.#history.present;
    const checked = checkedChange(before, change(before));
    if (!checked.ok) return checked.problems.map(advice).join(' ');
    this.#history = history.edited(this.#history, name, checked.value, gesture);
    this.#changed();
    return null;
  }

  /** Edits the brief of the open design. */
  editBrief(
    name: string,
    change: (brief: Brief) => Brief,
    gesture: string | null = null,
  ): string | null {
    return this.edit(
      name,
      (document) => {
        const design = { ...documents.openDesign(document) };
        delete design.blend;
        return documents.withDesign(document, { ...design, brief: change(design.brief) });
      },
      gesture === null ? null : `${this.document.open} ${gesture}`,
    );
  }

  /** Edits the blend made by hand of the open design; `null` goes back to the designed one. */
  editOwn(name: string, own: OwnAdditions | null, gesture: string | null = null): string | null {
    return this.edit(
      name,
      (document) => {
        const { own: _, ...design } = documents.openDesign(document);
        return documents.withDesign(document, own ? { ...design, own: [...own] } : design);
      },
      gesture === null ? null : `${this.document.open} ${gesture}`,
    );
  }

  /** Opens another design; looking from one to the next is one step. */
  openDesign(id: string): void {
    const design = documents.designIn(this.document, id);
    if (!design || id === this.document.open) return;
    this.edit(`open “${documents.titleOf(design)}”`, (d) => ({ ...d, open: id }), 'open');
  }

  /** Opens a design that came from elsewhere as one of its own; one that is here already is opened. */
  openCopy(design: Pick<SavedDesign, 'brief' | 'blend' | 'own' | 'note'>): void {
    const { brief } = design;
    const same = this.document.designs.find((d) => documents.sameWork(d, design));
    if (same) return this.openDesign(same.id);
    const name = documents.freeName(this.document, brief.name.trim() || 'Shared design');
    const copy = documents.savedDesign({ ...brief, name }, design);
    this.edit(`open shared “${name}”`, (d) => documents.withNewDesign(d, copy));
  }

  undo(): void {
    if (this.undoName === null) return;
    this.#history = history.undone(this.#history);
    this.#changed();
  }

  redo(): void {
    if (this.redoName === null) return;
    this.#history = history.redone(this.#history);
    this.#changed();
  }

  /** Keeps the blend that answers a brief beside it; no step, because it follows from the brief. */
  keepBlend(brief: Brief, additions: readonly Addition[]): void {
    const design = this.document.designs.find((d) => d.brief === brief);
    if (!design) return;
    const blend = additions.filter(({ grams }) => grams > 0);
    if (JSON.stringify(blend) === JSON.stringify(design.blend)) return;
    const amended = documents.withDesign(this.document, { ...design, blend });
    this.#history = history.amended(this.#history, amended);
    // A workspace nobody has touched is not written only because it was looked at.
    if (this.#saving.state !== 'untouched') this.#saveSoon();
  }

  /**
   * Starts over from what was kept earlier, without a step back. What was edited before the store
   * answered comes along as a design of its own.
   * @param unread what could not be read of it, in a sentence.
   */
  restore(kept: WorkspaceDocument | null, unread: string | null = null): void {
    const early = this.#saving.state === 'untouched' ? null : this.open;
    if (kept) {
      const name = early && documents.freeName(kept, documents.titleOf(early));
      const copy = early && documents.savedDesign({ ...early.brief, name: name! }, early);
      this.#history = history.historyOf(copy ? documents.withNewDesign(kept, copy) : kept);
      if (!early) this.#saving = { state: 'saved' };
    }
    if (unread !== null) this.#saving = { state: 'not_restored', reason: unread };
    this.#tell();
  }

  /** From here on edits are kept; one that waited for it is kept at once. */
  useKeeper(keeper: Keeper): void {
    this.#keeper = keeper;
    this.flush();
  }

  /** Writes what has not been written yet, now: the page may be about to close. */
  flush(): void {
    if (this.#clash?.edited) this.keepMine();
    if (this.#saving.state === 'saving') void this.save();
  }

  /** Looks for what other tabs have saved. */
  async lookElsewhere(): Promise<void> {
    const news = await this.#keeper?.news(this.document);
    if (news) this.#hear(news);
  }

  /** Takes the other tab's version of the open design; the own one is given up. */
  takeTheirs(): void {
    const clash = this.#clash;
    if (!clash) return;
    this.#clash = null;
    this.#map((document) => withElsewhere(document, designsElsewhere(clash)));
    this.#saveSoon();
  }

  /** Keeps the own version as a design of its own beside the other tab's. */
  keepMine(): void {
    const clash = this.#clash;
    const mine = clash && documents.designIn(this.document, clash.id);
    if (!clash || !mine) return;
    this.#clash = null;
    const name = documents.freeName(this.document, `${documents.titleOf(mine)} (copy)`);
    const copy = documents.savedDesign({ ...mine.brief, name }, mine);
    this.#map((document) =>
      withElsewhere(documents.withDesign(document, copy), designsElsewhere(clash)),
    );
    this.edit(`keep “${name}”`, (document) => ({ ...document, open: copy.id }));
  }

  async save(): Promise<void> {
    clearTimeout(this.#timer);
    if (!this.#keeper) return;
    const document = this.#history.present;
    const kept = await this.#keeper.save(document);
    if (kept.kind === 'kept') this.#hear(kept.news);
    if (document !== this.#history.present && this.#saving.state === 'saving') return;
    this.#saving =
      kept.kind === 'kept'
        ? { state: 'saved' }
        : { state: 'not_saved', reason: kept.reason, cure: kept.cure };
  }

  #hear({ taken, clashes }: News): void {
    const { open } = this.document;
    const designs = new Map(taken.designs);
    for (const [id, theirs] of [...designs, ...clashes]) {
      const mine = documents.designIn(this.document, id);
      if (!mine || (id !== open && !clashes.has(id))) continue;
      // The same brief answered in both tabs: nobody's work differs.
      if (theirs && documents.sameWork(mine, theirs)) {
        designs.set(id, theirs);
        continue;
      }
      designs.delete(id);
      this.#clash = { id, title: documents.titleOf(mine), theirs, edited: clashes.has(id) };
    }
    if (designs.size === 0 && taken.lots.size === 0 && taken.usual === undefined) return;
    this.#map((document) => withElsewhere(document, { ...taken, designs }));
  }

  #map(change: (document: WorkspaceDocument) => WorkspaceDocument): void {
    this.#history = history.mapped(this.#history, change);
    this.#keeper?.took(this.document);
    this.#tell();
  }

  #tell(): void {
    for (const changed of this.#followers) changed();
  }

  #changed(): void {
    this.#tell();
    this.#saveSoon();
  }

  #saveSoon(): void {
    clearTimeout(this.#timer);
    this.#saving = { state: 'saving' };
    this.#timer = setTimeout(() => void this.save(), SAVE_AFTER_MS);
  }
}

function designsElsewhere({ id, theirs }: Clash): Elsewhere {
  return { designs: new Map([[id, theirs]]), lots: new Map() };
}
