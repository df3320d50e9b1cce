// Everything a person keeps, with one history over all of it: every edit of a brief, a lot or the list
// of designs is one named step. Changed parts are checked by their schema; an edit that the schema
// refuses changes nothing. The store is handed in, so that this runs without a database or a screen.
import { advice, type Outcome } from '#shared/outcome.ts';
import { nameKey } from '#shared/name-key.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import {
  IN_FILE,
  type SavedDesign,
  type SavedLot,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import type { OwnAdditions } from '#state/documents/by-hand.ts';
import { checkedChange, isBlend, withElsewhere } from '#state/documents/changes.ts';
import * as documents from '#state/documents/documents.ts';
import * as history from '#state/documents/history.ts';
import { hopsUsedUp } from '#state/stock/out-of-stock.ts';
import { inventedPrices, isAtInvented, type InventedPrices } from '#state/stock/invented-prices.ts';
import { ownPrices, pricesOf, type StockPrices } from '#state/stock/stock-prices.ts';
import type {
  TabConflict,
  Elsewhere,
  Fault,
  Keeper,
  News,
  SaveState,
  Unread,
} from '#state/documents/keeping.ts';
import { Pace } from '#state/documents/pace.ts';

export class Workspace {
  #history = $state.raw<history.History<WorkspaceDocument>>()!;
  #saving = $state.raw<SaveState>({ state: 'untouched' });
  #clash = $state.raw<TabConflict | null>(null);
  #unread = $state.raw<readonly Unread[]>([]);
  #keptTwice = $state.raw<readonly string[]>([]);
  #keeper: Keeper | null = null;
  /** Whether the store was read: nothing is written before. */
  #isLoaded = false;
  /** Whether there is anything of a person's own: edited here, or kept earlier. */
  #isOwn = false;
  /** The store is slow: the notice, until the store answers. */
  #held = false;
  /** Whether something was left to the next page, to be taken back once it is written here. */
  #hasLeft = false;
  /** Whether something was changed here since the last write began. */
  #isNewer = false;
  readonly #pace = new Pace(() => this.#write());
  readonly #look = new Pace(() => this.#lookNow());
  readonly #followers = new Set<() => void>();

  /** @param starter the invented workspace of a first visit. */
  constructor(readonly starter: WorkspaceDocument) {
    this.#history = history.historyOf(starter);
  }

  readonly document: WorkspaceDocument = $derived(this.#history.present);
  /** The design at work. */
  readonly open: SavedDesign = $derived(documents.openDesign(this.#history.present));
  /** What tastings taught, where it is in use. */
  readonly learned: Learned | null = $derived(documents.learnedIn(this.#history.present));
  readonly #own = $derived(this.#history.present.own_tables ?? null);
  /** What everything is asked with beside the published tables. */
  readonly knowledge: OwnKnowledge = $derived({ own: this.#own, learned: this.learned });
  readonly #lots: readonly SavedLot[] = $derived(this.#history.present.lots);
  /** What the lots cost: holds for hops whose price nobody gave elsewhere. */
  readonly prices: StockPrices = $derived(pricesOf([...this.#lots, ...ownPrices(this.#own)]));
  /** Hops that are out of stock, for every design. */
  readonly gone: readonly string[] = $derived(hopsUsedUp(this.#lots));
  readonly #goneKeys: ReadonlySet<string> = $derived(new Set(this.gone.map(nameKey)));
  readonly #invented: InventedPrices = $derived.by(() =>
    inventedPrices(this.document, this.starter),
  );
  readonly undoName: string | null = $derived(history.undoName(this.#history));
  readonly redoName: string | null = $derived(history.redoName(this.#history));

  get saving(): SaveState {
    return this.#saving;
  }
  /** The open design as another tab has saved it meanwhile. */
  get clash(): TabConflict | null {
    return this.#clash;
  }
  isGone(hop: string): boolean {
    return this.#goneKeys.has(nameKey(hop));
  }
  /** Whether anything of this is paid at prices of the invented demo. */
  isAtInvented(additions: readonly Addition[]): boolean {
    return isAtInvented(additions, this.prices, this.#invented);
  }
  /** What was kept and cannot be read, until the person has taken note. */
  get unread(): readonly Unread[] {
    return this.#unread;
  }
  /** Lots by hop and batches by name that two tabs changed so that both versions had to be kept. */
  get keptTwice(): readonly string[] {
    return this.#keptTwice;
  }
  /** Whether work would be lost if the page were left now. */
  get isAtRisk(): boolean {
    return this.#isOwn && (this.#saving.state === 'not_saved' || !this.#isLoaded);
  }

  /** The person has read what could not be read, and what was kept twice. */
  noted(): void {
    this.#unread = [];
    this.#keptTwice = [];
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
    return this.#take(name, checkedChange(before, change(before)), gesture);
  }

  #take(name: string, checked: Outcome<WorkspaceDocument>, gesture: string | null): string | null {
    if (!checked.ok) return checked.problems.map(advice).join(' ');
    this.#history = history.edited(this.#history, name, checked.value, gesture);
    this.#changed();
    return null;
  }

  /**
   * Puts a whole workspace, as it was saved in a file, in place of this one, as one step. It may hold
   * more than edits lead to: whatever was saved must come back.
   */
  replace(name: string, document: WorkspaceDocument): string | null {
    return this.#take(name, checkedChange(this.document, document, IN_FILE), null);
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

  /**
   * Opens a design that came from elsewhere as one of its own; one that is here already is opened.
   * @returns why it cannot come in.
   */
  openCopy(design: Pick<SavedDesign, 'brief' | 'blend' | 'own' | 'note'>): string | null {
    const { brief } = design;
    const same = this.document.designs.find((d) => documents.sameWork(d, design));
    if (same) {
      this.openDesign(same.id);
      return null;
    }
    const name = documents.freeName(this.document, brief.name.trim() || 'Shared design');
    const copy = documents.savedDesign({ ...brief, name }, design);
    return this.edit(`open shared “${name}”`, (d) => documents.withNewDesign(d, copy));
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
    if (JSON.stringify(blend) === JSON.stringify(design.blend) || !isBlend(blend)) return;
    const amended = documents.withDesign(this.document, { ...design, blend });
    this.#history = history.amended(this.#history, amended);
    // A workspace nobody has touched is not written only because it was looked at.
    if (this.#isOwn) this.#saveSoon();
  }

  /** From here on edits are kept in this store, once what it holds has been read. */
  async useKeeper(keeper: Keeper): Promise<void> {
    this.#keeper = keeper;
    await this.save();
  }

  /** Reads the store, and takes up what it holds. */
  async #load(keeper: Keeper): Promise<boolean> {
    const loaded = await keeper.load(this.starter);
    this.#held = false;
    if (loaded.kind === 'failed') {
      this.#saving = { state: 'not_saved', reason: loaded.reason, cure: loaded.cure };
      return false;
    }
    this.#isLoaded = true;
    this.#restore(loaded.kept);
    this.#unread = loaded.unread;
    if (loaded.unsaved) this.#saving = { state: 'saving' };
    return true;
  }

  /**
   * Starts over from what was kept earlier, without a step back. What was edited before the store
   * answered comes along as a design of its own.
   */
  #restore(kept: WorkspaceDocument | null): void {
    const early = this.#isOwn ? this.open : null;
    if (kept) {
      const name = early && documents.freeName(kept, documents.titleOf(early));
      const copy = early && documents.savedDesign({ ...early.brief, name: name! }, early);
      this.#history = history.historyOf(copy ? documents.withNewDesign(kept, copy) : kept);
      this.#isOwn = true;
    }
    this.#saving = { state: early ? 'saving' : kept ? 'saved' : 'untouched' };
    this.#tell();
  }

  /** The store cannot be had for now; it goes on by itself. */
  hold({ reason, cure }: Fault): void {
    this.#held = true;
    this.#saving = { state: 'not_saved', reason, cure };
  }

  /** Sees to it that nothing is lost: the page may be about to close. */
  leave(): void {
    if (this.#clash?.edited) this.keepMine();
    if (!this.#isUnsaved || !this.#isLoaded) return;
    this.#hasLeft = true;
    this.#keeper?.leave(this.#history.present);
    void this.save();
  }

  /** Another tab has saved something; these lots it had to keep twice. */
  hearSaved(keptTwice: readonly string[]): void {
    this.#notice(keptTwice);
    this.#look.ask();
  }

  /** Looks for what other tabs have saved. */
  async lookElsewhere(): Promise<void> {
    await this.#look.now();
  }

  async #lookNow(): Promise<boolean> {
    const [{ document }, keeper] = [this, this.#keeper];
    // Nothing here is a person's own: what is kept stands in its place, not beside it.
    if (this.#isLoaded && !this.#isOwn && keeper) return this.#load(keeper);
    const news = this.#isLoaded ? await keeper?.news(document) : null;
    if (keeper && news) this.#hear(keeper, news, document);
    return news != null;
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

  get #isUnsaved(): boolean {
    return this.#saving.state === 'saving' || this.#saving.state === 'not_saved';
  }

  /** Writes what is new, now. */
  async save(): Promise<void> {
    await this.#pace.now();
  }

  async #write(): Promise<boolean> {
    const keeper = this.#keeper;
    if (!keeper || (!this.#isLoaded && !(await this.#load(keeper)))) return false;
    if (!this.#isUnsaved && !this.#hasLeft) return false;
    const document = this.#history.present;
    this.#hasLeft = false;
    this.#isNewer = false;
    const kept = await keeper.save(document);
    this.#held = false;
    if (kept.kind === 'kept') this.#hear(keeper, kept.news, document);
    this.#saving =
      kept.kind === 'failed'
        ? { state: 'not_saved', reason: kept.reason, cure: kept.cure }
        : // An edit during the write sets it.
          { state: this.#isNewer ? 'saving' : 'saved' };
    return true;
  }

  /** @param asked the document the news is about. */
  #hear(keeper: Keeper, news: News, asked: WorkspaceDocument): void {
    const { elsewhere, clash, keptTwice } = keeper.heard(news, asked, this.document);
    if (clash) this.#clash = clash;
    this.#notice(keptTwice);
    const seen = this.document;
    if (elsewhere) this.#map((document) => withElsewhere(document, elsewhere, seen));
  }

  #notice(keptTwice: readonly string[]): void {
    if (keptTwice.length > 0) this.#keptTwice = [...new Set([...this.#keptTwice, ...keptTwice])];
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
    this.#isOwn = true;
    this.#isNewer = true;
    if (!this.#held) this.#saving = { state: 'saving' };
    this.#pace.ask();
  }
}

function designsElsewhere({ id, theirs }: TabConflict): Elsewhere {
  return { designs: new Map([[id, theirs]]), lots: new Map(), batches: new Map() };
}
