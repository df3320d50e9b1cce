// The browser's database in memory, with what lies in it seen and changed as by a foreign hand; and
// pages over it: a workspace with its keeper, as the layout puts them together.
import 'fake-indexeddb/auto';
import { IDBFactory } from 'fake-indexeddb';
import { openDB } from 'idb';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedBatchSchema } from '#shared/schemas/batch.ts';
import type { SavedDesign, SavedLot, WorkspaceDocument } from '#shared/schemas/workspace.ts';
import { savedDesign, workspaceOf } from '#state/documents/documents.ts';
import { Workspace } from '#state/workspace/workspace.svelte.ts';
import { WorkspaceKeeper } from '#storage/keeper.ts';

export type Raw = { key: string } & Record<string, unknown>;

export const lot = (id: string, hop: string, more: Partial<SavedLot> = {}): SavedLot => ({
  hop,
  form: 'pellet_90',
  id,
  note: '',
  out_of_stock: false,
  ...more,
});

/** The invented workspace of a first visit. */
export const STARTER: WorkspaceDocument = workspaceOf(
  [{ ...savedDesign(SEED_BRIEFS[0]!.brief), id: 'demo-first' }],
  [lot('demo-lot', 'Saaz')],
);

/** A person's own workspace: three designs, four lots, a batch, a usual schedule. */
export function ownWorkspace(): WorkspaceDocument {
  const designs = SEED_BRIEFS.slice(0, 3).map(({ brief }, i) => ({
    ...savedDesign({ ...brief, name: `Own ${i}` }),
    id: `own${i}`,
  })) as [SavedDesign, ...SavedDesign[]];
  const { batch, stages } = designs[0].brief;
  const additions = [{ hop: 'Citra', form: 'cone' as const, stage: 'dry_hop' as const, grams: 40 }];
  const usual = { name: 'Usual', batch, stages, additions };
  const brew = { id: 'x', name: 'First', design: 'own0', planned: usual, brewed: usual };
  const lots = [
    lot('a', 'Citra', { grams_on_hand: 500, price_per_kg: 40 }),
    lot('b', 'Cascade', { grams_on_hand: 300 }),
    lot('c', 'Mosaic', { package_g: 100 }),
    lot('d', 'Saaz'),
  ];
  return { ...workspaceOf(designs, lots, [savedBatchSchema.parse(brew)]), usual };
}

/** The store of texts in memory, as far as the keeper uses it. */
class Texts {
  readonly #texts = new Map<string, string>();
  get length(): number {
    return this.#texts.size;
  }
  key(i: number): string | null {
    return [...this.#texts.keys()][i] ?? null;
  }
  getItem(key: string): string | null {
    return this.#texts.get(key) ?? null;
  }
  setItem(key: string, text: string): void {
    this.#texts.set(key, text);
  }
  removeItem(key: string): void {
    this.#texts.delete(key);
  }
}

/** An empty browser. @param texts whether it has a store of texts. */
export function emptyBrowser(texts = true): void {
  globalThis.indexedDB = new IDBFactory();
  const store = texts ? (new Texts() as unknown as Storage) : undefined;
  Object.defineProperty(globalThis, 'localStorage', { value: store, configurable: true });
}

async function inStore<T>(
  job: (store: Awaited<ReturnType<typeof openDB>>) => Promise<T>,
): Promise<T> {
  const database = await openDB('blendbine');
  try {
    return await job(database);
  } finally {
    database.close();
  }
}

/** Every record as it is kept, by its key. */
export async function records(): Promise<Map<string, Raw>> {
  const all = (await inStore((database) => database.getAll('entries'))) as Raw[];
  return new Map(all.map((record) => [record.key, record]));
}
/** What closing pages have left, in the database and as texts. */
export async function leftRecords(): Promise<unknown[]> {
  const kept = await inStore((database) => database.getAll('left'));
  const texts = (globalThis as { localStorage?: Storage }).localStorage;
  const own = Array.from({ length: texts?.length ?? 0 }, (_, i) => texts!.key(i));
  return [...kept, ...own];
}
export async function putRaw(...changed: readonly unknown[]): Promise<void> {
  await inStore(async (database) => {
    for (const record of changed) await database.put('entries', record);
  });
}
export async function putRawInto(store: string, record: unknown): Promise<void> {
  await inStore((database) => database.put(store, record));
}
export async function deleteRaw(...keys: readonly string[]): Promise<void> {
  await inStore(async (database) => {
    for (const key of keys) await database.delete('entries', key);
  });
}

const opened: WorkspaceKeeper[] = [];

export interface Page {
  readonly workspace: Workspace;
  readonly keeper: WorkspaceKeeper;
  /** The page is gone without a word. */
  readonly die: () => void;
}

/** A page that has read the store. */
export async function openPage(): Promise<Page> {
  const workspace = new Workspace(STARTER);
  const keeper = new WorkspaceKeeper({
    saved: (keptTwice) => workspace.hearSaved(keptTwice),
    blocked: (fault) => workspace.hold(fault),
  });
  opened.push(keeper);
  await workspace.useKeeper(keeper);
  return { workspace, keeper, die: () => keeper.close() };
}

export function closePages(): void {
  for (const keeper of opened.splice(0)) keeper.close();
}

/** A browser in which the person's own workspace has been kept by a page that is closed. */
export async function keptBrowser(
  own: WorkspaceDocument = ownWorkspace(),
  texts = true,
): Promise<WorkspaceDocument> {
  emptyBrowser(texts);
  const { workspace, die } = await openPage();
  workspace.replace('open a file', own);
  await workspace.save();
  die();
  return workspace.document;
}
