// What the workspace and its store tell each other. The store belongs to the browser and is shared by
// all tabs; each tab has a workspace of its own in memory.
import type { Schedule } from '#shared/schemas/brief.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';

/** What another tab has saved since this one looked; `null` stands for deleted. */
export interface Elsewhere {
  readonly designs: ReadonlyMap<string, SavedDesign | null>;
  readonly lots: ReadonlyMap<string, SavedLot | null>;
  readonly usual?: Schedule | null;
}

/** Changed elsewhere: what this tab had not touched, and designs that it had changed too. */
export interface News {
  readonly taken: Elsewhere;
  readonly clashes: ReadonlyMap<string, SavedDesign | null>;
}

export type Kept =
  | { readonly kind: 'kept'; readonly news: News }
  | { readonly kind: 'failed'; readonly reason: string; readonly cure: string };

export interface Keeper {
  /** Writes what is new in the document. What another tab has changed meanwhile is never overwritten. */
  save(document: WorkspaceDocument): Promise<Kept>;
  /** What other tabs have saved since; `null` where the store cannot be read. */
  news(document: WorkspaceDocument): Promise<News | null>;
  /** The document as it stands after news was taken. */
  took(document: WorkspaceDocument): void;
}

export type Saving =
  | { readonly state: 'untouched' | 'saving' | 'saved' }
  | { readonly state: 'not_saved'; readonly reason: string; readonly cure: string }
  /** Something kept earlier could not be read. */
  | { readonly state: 'not_restored'; readonly reason: string };

/** The open design was changed in another tab: what stands there now, `null` where it was deleted. */
export interface Clash {
  readonly id: string;
  readonly title: string;
  readonly theirs: SavedDesign | null;
  /** Whether it was changed here too, so that the own version would be lost. */
  readonly edited: boolean;
}
