// The messages between the workspace and its store. The store belongs to the browser and is shared by all tabs;
// each tab has a workspace of its own in memory.
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type {
  SavedDesign,
  SavedLot,
  SinglesRead,
  WorkspaceDocument,
} from '#shared/schemas/workspace.ts';

/** What is wrong, and what to do about it; each a sentence without a full stop. */
export interface Fault {
  readonly reason: string;
  readonly cure: string;
}

/** What another tab has saved since this one last read; `null` stands for deleted. */
export interface Elsewhere extends Partial<SinglesRead> {
  readonly designs: ReadonlyMap<string, SavedDesign | null>;
  readonly lots: ReadonlyMap<string, SavedLot | null>;
  readonly batches: ReadonlyMap<string, SavedBatch | null>;
}

/** What changed elsewhere: parts that this tab had not changed, and designs that it had changed too. */
export interface News {
  readonly taken: Elsewhere;
  readonly clashes: ReadonlyMap<string, SavedDesign | null>;
  /**
   * Ids of designs among these that come from other devices of a shared freezer: they are taken over even while
   * open.
   */
  readonly shared: ReadonlySet<string>;
  /**
   * Lots and batches whose changes in two tabs could not be merged: both versions are kept. Lots are named by
   * hop, batches by name.
   */
  readonly keptTwice: readonly string[];
}

/** What of the news is taken over, and where the person has to choose. */
export interface NewsOutcome {
  readonly elsewhere: Elsewhere | null;
  readonly clash: TabConflict | null;
  /** As in the news. */
  readonly keptTwice: readonly string[];
}

/** A kept part that this page cannot read. It stays in the store unchanged. */
export interface Unread {
  /** What it is, as far as it can be read: `the lot “Citra”`. */
  readonly what: string;
  readonly reason: string;
  /** The record as it is stored. */
  readonly record: unknown;
}

export type Loaded =
  | {
      readonly kind: 'loaded';
      /** `null` where nothing has been kept yet. */
      readonly kept: WorkspaceDocument | null;
      readonly unread: readonly Unread[];
      /** Whether it includes edits that another page could not finish writing and that this one must write. */
      readonly unsaved: boolean;
    }
  | ({ readonly kind: 'failed' } & Fault);

export type Kept =
  | { readonly kind: 'kept'; readonly news: News }
  | ({ readonly kind: 'failed' } & Fault);

export interface Keeper {
  /** Reads everything kept. Nothing may be saved before. */
  load(starter: WorkspaceDocument): Promise<Loaded>;
  /** Writes what is new in the document. Changes of another tab are never overwritten. */
  save(document: WorkspaceDocument): Promise<Kept>;
  /** Leaves unwritten edits to the next page that opens; synchronous, because this page is closing. */
  leave(document: WorkspaceDocument): void;
  /** What other tabs have saved meanwhile; `null` where the store cannot be read. */
  news(document: WorkspaceDocument): Promise<News | null>;
  /**
   * Which news to take over: it is about the document `asked`, and the person has since moved on to `present`.
   */
  heard(news: News, asked: WorkspaceDocument, present: WorkspaceDocument): NewsOutcome;
  /** Reports the document after news was taken over. */
  took(document: WorkspaceDocument): void;
}

export type SaveState =
  | { readonly state: 'untouched' | 'saving' | 'saved' }
  | ({ readonly state: 'not_saved' } & Fault);

/** The open design was changed in another tab: the version there, `null` where it was deleted. */
export interface TabConflict {
  readonly id: string;
  readonly title: string;
  readonly theirs: SavedDesign | null;
  /** Whether it was changed here too, so that taking the other version would lose this one. */
  readonly edited: boolean;
}
