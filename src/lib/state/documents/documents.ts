// Workspaces as plain values: what is in one, and the same one with a design or lot put in, taken out
// or changed. A design always stays: where the last one goes, a blank one takes its place.
import {
  judgingOf,
  NAME_MAX,
  type Addition,
  type Brief,
  type Schedule,
} from '#shared/schemas/brief.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import {
  WORKSPACE_FORMAT,
  WORKSPACE_VERSION,
  type SavedDesign,
  type SavedLot,
  type SingleId,
  type SinglePart,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';

/** An id nobody else has; random, because two tabs may name things at the same time. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(10));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** A design of its own for a brief. */
export function savedDesign(
  brief: Brief,
  {
    note = '',
    ...given
  }: Partial<Pick<SavedDesign, 'blend' | 'own' | 'follows' | 'note' | 'recipe'>> = {},
): SavedDesign {
  const { blend, own, follows, recipe } = given;
  return {
    id: newId(),
    brief,
    ...(blend && { blend }),
    ...(own && { own }),
    ...(follows && { follows }),
    saved_at: new Date().toISOString(),
    note,
    ...(recipe && { recipe }),
  };
}

/** A workspace of these designs, the first one open. */
export function workspaceOf(
  designs: readonly [SavedDesign, ...SavedDesign[]],
  lots: readonly SavedLot[] = [],
  batches: readonly SavedBatch[] = [],
): WorkspaceDocument {
  return {
    format: WORKSPACE_FORMAT,
    version: WORKSPACE_VERSION,
    designs: [...designs],
    lots: [...lots],
    batches: [...batches],
    open: designs[0].id,
  };
}

/** What a design is called. */
export function titleOf({ brief }: Pick<SavedDesign, 'brief'>): string {
  return brief.name.trim() || 'Untitled';
}

/** Fields in one order, so that what holds the same is written the same. */
function inOrder(_: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}

type DesignWork = Pick<SavedDesign, 'brief' | 'own' | 'note' | 'recipe'>;

/** One text for all designs that are the same to whoever made them: the blend follows from the brief. */
export function workKey({ brief, own, note, recipe }: DesignWork): string {
  return JSON.stringify([brief, own, note, recipe], inOrder);
}

/** Whether two designs are the same to whoever made them. */
export function sameWork(a: DesignWork, b: DesignWork): boolean {
  return workKey(a) === workKey(b);
}

/** One text for all lots that hold the same, whatever their ids. */
export function lotKey({ id: _, ...lot }: SavedLot): string {
  return JSON.stringify(lot, inOrder);
}

/** One text for all batches that hold the same, whatever their ids. */
export function batchKey({ id: _, ...batch }: SavedBatch): string {
  return JSON.stringify(batch, inOrder);
}

export function designIn(document: WorkspaceDocument, id: string): SavedDesign | undefined {
  return document.designs.find((design) => design.id === id);
}

/** The design at work. */
export function openDesign(document: WorkspaceDocument): SavedDesign {
  return designIn(document, document.open) ?? document.designs[0]!;
}

/** A name nobody bears yet: "Peach", "Peach 2", "Peach 3". */
export function freeName(document: WorkspaceDocument, name: string): string {
  return nameBeside(new Set(document.designs.map(titleOf)), name);
}

/** A name cut to a length, no letter of two halves cut through. */
const cut = (name: string, most: number) => name.slice(0, most).replace(/[\ud800-\udbff]$/, '');

/** A name that is not among those taken, no longer than a name may be. */
export function nameBeside(taken: ReadonlySet<string>, name: string): string {
  const whole = cut(name, NAME_MAX);
  if (!taken.has(whole)) return whole;
  const stem = whole.replace(/ \d+$/, '');
  for (let i = 2; ; i += 1) {
    const other = `${cut(stem, NAME_MAX - ` ${i}`.length)} ${i}`;
    if (!taken.has(other)) return other;
  }
}

/** In which steps a scale weighs, and the least of an addition. */
export function scaleOf({
  smallest_addition_g,
  weigh_step_g,
}: Brief['limits']): Partial<Brief['limits']> {
  return {
    ...(smallest_addition_g !== undefined && { smallest_addition_g }),
    ...(weigh_step_g !== undefined && { weigh_step_g }),
  };
}

/** Share of lots a new design is asked to hold in: more often than not. A judgement. */
export const HOLDS_IN_LOTS = 0.6;

/** Nothing wished yet: batch, stages, candidates and what is weighed out as in the design before it. */
export function blankBrief(like: Brief, name: string): Brief {
  const { batch, stages, candidates, limits } = like;
  return {
    ...judgingOf(like),
    name,
    batch,
    stages,
    target: {},
    limits: {
      holds_in_lots_at_least: HOLDS_IN_LOTS,
      ban: [],
      require: [],
      ...scaleOf(limits),
    },
    minimise: 'weight',
    candidates,
  };
}

/** What begins the ids of the invented designs and lots of a first visit. */
const DEMO_PREFIX = 'demo-';

/** Whether an id is one of the invented designs and lots. */
export function isOfDemo({ id }: { readonly id: string }): boolean {
  return id.startsWith(DEMO_PREFIX);
}

/** Without what the demo invented; a blank design where nothing of one's own is left. */
export function withoutDemo(document: WorkspaceDocument): WorkspaceDocument {
  const kept = document.designs.filter((design) => !isOfDemo(design));
  const blank = blankBrief(openDesign(document).brief, 'My first design');
  const designs = kept.length > 0 ? kept : [savedDesign({ ...blank, candidates: 'table' })];
  const open = designs.find(({ id }) => id === document.open) ?? designs[0]!;
  const lots = document.lots.filter((lot) => !isOfDemo(lot));
  return { ...document, designs, lots, open: open.id };
}

/** The schedule that a brief and a blend for it make. */
export function scheduleFor(brief: Brief, additions: readonly Addition[]): Schedule {
  const { name, batch, stages } = brief;
  return { ...judgingOf(brief), name, batch, stages, additions: [...additions] };
}

/** What a design weighs out, the blend made by hand before the designed one; `null` without hops. */
export function scheduleOf({ brief, blend, own }: SavedDesign): Schedule | null {
  const additions = own ? own.map(({ locked: _, ...addition }) => addition) : blend;
  return additions?.length ? scheduleFor(brief, additions) : null;
}

/** With one put in: in its place where its id is known, else at the end. */
function withOne<T extends { readonly id: string }>(all: readonly T[], one: T): T[] {
  const known = all.some(({ id }) => id === one.id);
  return known ? all.map((other) => (other.id === one.id ? one : other)) : [...all, one];
}

/** With a design put in, in its place where it is known. */
export function withDesign(document: WorkspaceDocument, design: SavedDesign): WorkspaceDocument {
  return { ...document, designs: withOne(document.designs, design) };
}

/** With a new design put in and opened. */
export function withNewDesign(document: WorkspaceDocument, design: SavedDesign): WorkspaceDocument {
  return { ...withDesign(document, design), open: design.id };
}

/** Without a design; where it was open, its neighbour is. */
export function withoutDesign(document: WorkspaceDocument, id: string): WorkspaceDocument {
  const at = document.designs.findIndex((design) => design.id === id);
  if (at < 0) return document;
  const left = document.designs.filter((design) => design.id !== id);
  const designs =
    left.length > 0 ? left : [savedDesign(blankBrief(document.designs[at]!.brief, 'Untitled'))];
  const neighbour = designs[Math.min(at, designs.length - 1)]!;
  return { ...document, designs, open: document.open === id ? neighbour.id : document.open };
}

/** With a lot put in, in its place where it is known. */
export function withLot(document: WorkspaceDocument, lot: SavedLot): WorkspaceDocument {
  return { ...document, lots: withOne(document.lots, lot) };
}

export function withoutLot(document: WorkspaceDocument, id: string): WorkspaceDocument {
  return { ...document, lots: document.lots.filter((lot) => lot.id !== id) };
}

/** With a batch put in, in its place where it is known. */
export function withBatch(document: WorkspaceDocument, batch: SavedBatch): WorkspaceDocument {
  return { ...document, batches: withOne(document.batches, batch) };
}

export function withoutBatch(document: WorkspaceDocument, id: string): WorkspaceDocument {
  return { ...document, batches: document.batches.filter((batch) => batch.id !== id) };
}

/** A batch of a design: planned and, until something is entered, brewed as this schedule says. */
export function newBatch(design: SavedDesign, planned: Schedule, brewed_on?: string): SavedBatch {
  return {
    id: newId(),
    name: titleOf(design),
    design: design.id,
    ...(brewed_on !== undefined && { brewed_on }),
    planned,
    brewed: planned,
    measured: {},
    lab: [],
    tastings: [],
    drawn: [],
    done: [],
    photos: [],
    note: design.note,
  };
}

/** Names of the hop table, and of varieties of one's own behind them. */
export function namesWithOwn(names: readonly string[], own: OwnTables | null): readonly string[] {
  const mine = (own?.varieties ?? []).flatMap(({ name }) => name ?? []);
  return mine.length > 0 ? [...new Set([...names, ...mine])] : names;
}

/** With tables of one's own in place of those before. */
export function withOwnTables(document: WorkspaceDocument, own: OwnTables): WorkspaceDocument {
  const filled = Object.entries(own).filter(([, rows]) => rows.length > 0);
  return withSingle(document, 'own_tables', filled.length > 0 ? Object.fromEntries(filled) : null);
}

/** What tastings taught, where it is in use. */
export function learnedIn({ learning }: WorkspaceDocument): Learned | null {
  return learning?.in_use ? learning.learned : null;
}

/** With a part of which there is one at most; `null` takes it out. */
export function withSingle<Id extends SingleId>(
  document: WorkspaceDocument,
  id: Id,
  part: SinglePart<Id> | null,
): WorkspaceDocument {
  const rest = { ...document };
  delete rest[id];
  return part ? { ...rest, [id]: part } : rest;
}
