// A store played in memory, for tests of the workspace: what it holds when asked, what it answers to a save, what
// it has heard of other tabs; and what was saved to it or left for the next page.
import { SEED_BRIEFS } from '#seeds/index.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { SavedDesign, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';
import type { Kept, Loaded, News } from '#state/documents/keeping.ts';
import { heardOf } from '#storage/meeting.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';

export const [first, second] = SEED_BRIEFS.map(({ brief }) => savedDesign(brief)) as [
  SavedDesign,
  SavedDesign,
];
export const floral = (aim: number) => (brief: Brief) => ({
  ...brief,
  target: { ...brief.target, floral: { aim, within: 0.3 } },
});
export const renamed = (design: SavedDesign, name: string): SavedDesign => ({
  ...design,
  brief: { ...design.brief, name },
});
export const nothing: News = {
  taken: { designs: new Map(), lots: new Map(), batches: new Map() },
  clashes: new Map(),
  shared: new Set(),
  keptTwice: [],
};
export const news = (
  change: Partial<News['taken']>,
  clashes: News['clashes'] = new Map(),
): News => ({
  taken: { ...nothing.taken, ...change },
  clashes,
  shared: new Set(),
  keptTwice: [],
});

export const holding = (kept: WorkspaceDocument | null): Loaded => ({
  kind: 'loaded',
  kept,
  unread: [],
  unsaved: false,
});

export class PlayedStore {
  readonly kept: WorkspaceDocument[] = [];
  readonly left: WorkspaceDocument[] = [];
  /** What other tabs have saved meanwhile. */
  heard: News | null = null;
  /** What the store holds; a promise where it lets wait. */
  stored: Loaded | Promise<Loaded> = holding(null);
  /** What it says to a save. */
  answer: Kept | Promise<Kept> = { kind: 'kept', news: nothing };

  /** Lets a workspace read this store and save to it. */
  async serve(workspace: Workspace): Promise<void> {
    await workspace.useKeeper({
      load: async () => this.stored,
      save: async (document) => {
        this.kept.push(document);
        return this.answer;
      },
      leave: (document) => this.left.push(document),
      news: async () => this.heard,
      heard: heardOf,
      took: () => {},
    });
  }
}

/** A workspace of the two designs that reads and saves to a played store. */
export async function servedWorkspace(): Promise<{ store: PlayedStore; workspace: Workspace }> {
  const store = new PlayedStore();
  const workspace = new Workspace(workspaceOf([first, second]));
  await store.serve(workspace);
  return { store, workspace };
}
