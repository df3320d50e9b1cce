// What the workspace and its store tell each other. The store belongs to the browser and is shared by
// all tabs; each tab has a workspace of its own in memory.
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type {
  SavedDesign,
  SavedLot,
  SinglesRead,
  WorkspaceDocument,
} from '#shared/schemas/workspace.ts';

/** What is wrong and what to do about it, each a sentence without a full stop. */
export interface Fault {
  readonly reason: string;
  readonly cure: string;
}

/** What another tab has saved since this one looked; `null` stands for deleted. */
export interface Elsewhere extends Partial<SinglesRead> {
  readonly designs: ReadonlyMap<string, SavedDesign | null>;
  readonly lots: ReadonlyMap<string, SavedLot | null>;
  readonly batches: ReadonlyMap<string, SavedBatch | null>;
}

/** Changed elsewhere: what this tab had not touched, and designs that it had changed too. */
export interface News {
  readonly taken: Elsewhere;
  readonly clashes: ReadonlyMap<string, SavedDesign | null>;
  /** Designs of these as other devices of a shared freezer have them: taken in even while they are open. */
  readonly shared: ReadonlySet<string>;
  /**
   * Lots and batches changed in two tabs in ways that do not go together: both versions are kept, lots
   * told by hop, batches by name.
   */
  readonly keptTwice: readonly string[];
}

/** What of the news can be taken in, and where the person has to choose. */
export interface NewsOutcome {
  readonly elsewhere: Elsewhere | null;
  readonly clash: TabConflict | null;
  /** As in the news. */
  readonly keptTwice: readonly string[];
}

/** A kept part that this page cannot read. It stays in the store as it is. */
export interface Unread {
  /** What it is, as far as can be told: `the lot “Citra”`. */
  readonly what: string;
  readonly reason: string;
  /** The record as it is kept. */
  readonly record: unknown;
}

export type Loaded =
  | {
      readonly kind: 'loaded';
      /** `null` where nothing was kept yet. */
      readonly kept: WorkspaceDocument | null;
      readonly unread: readonly Unread[];
      /** Whether it holds work that another page could not finish writing, to be written by this one. */
      readonly unsaved: boolean;
    }
  | ({ readonly kind: 'failed' } & Fault);

export type Kept =
  | { readonly kind: 'kept'; readonly news: News }
  | ({ readonly kind: 'failed' } & Fault);

export interface Keeper {
  /** Everything kept. Nothing may be saved before it has been read. */
  load(starter: WorkspaceDocument): Promise<Loaded>;
  /** Writes what is new in the document. What another tab has changed meanwhile is never overwritten. */
  save(document: WorkspaceDocument): Promise<Kept>;
  /** Leaves what is not written yet to the next page that opens; at once, for this one is closing. */
  leave(document: WorkspaceDocument): void;
  /** What other tabs have saved since; `null` where the store cannot be read. */
  news(document: WorkspaceDocument): Promise<News | null>;
  /** What to make of news about the document `asked`, where the person has gone on to `present`. */
  heard(news: News, asked: WorkspaceDocument, present: WorkspaceDocument): NewsOutcome;
  /** The document as it stands after news was taken. */
  took(document: WorkspaceDocument): void;
}

export type SaveState =
  | { readonly state: 'untouched' | 'saving' | 'saved' }
  | ({ readonly state: 'not_saved' } & Fault);

/** The open design was changed in another tab: what stands there now, `null` where it was deleted. */
export interface TabConflict {
  readonly id: string;
  readonly title: string;
  readonly theirs: SavedDesign | null;
  /** Whether it was changed here too, so that the own version would be lost. */
  readonly edited: boolean;
}
