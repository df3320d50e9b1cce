// Workspaces as plain values: how one is made, and the same workspace with a design, lot or batch added,
// removed or changed. There is always a design: where the last one is removed, a blank one takes its place.
import { judgingOf, type Brief, type Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { NAME_MAX } from '#shared/schemas/sizes.ts';
import type { Learned } from '#shared/schemas/learned.ts';
import type { OwnTables } from '#shared/schemas/own-tables.ts';
import { usualStageLimits } from '#shared/schemas/stage-limits.ts';
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

/** A new id, random because two tabs may make one at the same time. */
export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(10));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** A new design for a brief. */
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

/** The name of a design as it is shown. */
export function titleOf({ brief }: Pick<SavedDesign, 'brief'>): string {
  return brief.name.trim() || 'Untitled';
}

/** Orders the fields, so that equal values become equal text. */
function inOrder(_: string, value: unknown): unknown {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
}

type DesignWork = Pick<SavedDesign, 'brief' | 'own' | 'note' | 'recipe'>;

/**
 * One text for all designs with the same work of a person: the blend follows from the brief and does not count.
 */
export function workKey({ brief, own, note, recipe }: DesignWork): string {
  return JSON.stringify([brief, own, note, recipe], inOrder);
}

/** Whether two designs hold the same work of a person. */
export function sameWork(a: DesignWork, b: DesignWork): boolean {
  return workKey(a) === workKey(b);
}

/** One text for all lots with the same fields, whatever their ids. */
export function lotKey({ id: _, ...lot }: SavedLot): string {
  return JSON.stringify(lot, inOrder);
}

/** One text for all batches with the same fields, whatever their ids. */
export function batchKey({ id: _, ...batch }: SavedBatch): string {
  return JSON.stringify(batch, inOrder);
}

export function designIn(document: WorkspaceDocument, id: string): SavedDesign | undefined {
  return document.designs.find((design) => design.id === id);
}

/** The open design. */
export function openDesign(document: WorkspaceDocument): SavedDesign {
  return designIn(document, document.open) ?? document.designs[0]!;
}

/** A name not used yet: "Peach", "Peach 2", "Peach 3". */
export function freeName(document: WorkspaceDocument, name: string): string {
  return nameBeside(new Set(document.designs.map(titleOf)), name);
}

/** A name cut to a length without cutting a surrogate pair in two. */
const cut = (name: string, most: number) => name.slice(0, most).replace(/[\ud800-\udbff]$/, '');

/** A name that is not among those taken and not longer than a name may be. */
export function nameBeside(taken: ReadonlySet<string>, name: string): string {
  const whole = cut(name, NAME_MAX);
  if (!taken.has(whole)) return whole;
  const stem = whole.replace(/ \d+$/, '');
  for (let i = 2; ; i += 1) {
    const other = `${cut(stem, NAME_MAX - ` ${i}`.length)} ${i}`;
    if (!taken.has(other)) return other;
  }
}

/** The step in which a brief weighs, and its smallest addition. */
export function scaleOf({
  smallest_addition_g,
  weigh_step_g,
}: Brief['limits']): Partial<Brief['limits']> {
  return {
    ...(smallest_addition_g !== undefined && { smallest_addition_g }),
    ...(weigh_step_g !== undefined && { weigh_step_g }),
  };
}

/** Share of lots in which a new design is asked to meet its wishes: more often than not. A judgement. */
export const HOLDS_IN_LOTS = 0.6;

/**
 * A brief without wishes that has batch, stages, candidates and weighing steps of the design before it; each
 * stage takes the usual forms and doses.
 */
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
      ...usualStageLimits({ batch, stages }),
      ...scaleOf(limits),
    },
    minimise: 'weight',
    candidates,
  };
}

/** Prefix of the ids of the invented designs and lots of a first visit. */
const DEMO_PREFIX = 'demo-';

/** Whether an id belongs to the invented designs and lots. */
export function isOfDemo({ id }: { readonly id: string }): boolean {
  return id.startsWith(DEMO_PREFIX);
}

/** The workspace without what the demo invented; with a blank design where the person has none. */
export function withoutDemo(document: WorkspaceDocument): WorkspaceDocument {
  const kept = document.designs.filter((design) => !isOfDemo(design));
  const blank = blankBrief(openDesign(document).brief, 'My first design');
  const designs = kept.length > 0 ? kept : [savedDesign({ ...blank, candidates: 'table' })];
  const open = designs.find(({ id }) => id === document.open) ?? designs[0]!;
  const lots = document.lots.filter((lot) => !isOfDemo(lot));
  return { ...document, designs, lots, open: open.id };
}

/** The schedule made of a brief and a blend for it. */
export function scheduleFor(brief: Brief, additions: readonly Addition[]): Schedule {
  const { name, batch, stages } = brief;
  return { ...judgingOf(brief), name, batch, stages, additions: [...additions] };
}

/** The schedule a design weighs out: its blend made by hand, else the designed one; `null` without hops. */
export function scheduleOf({ brief, blend, own }: SavedDesign): Schedule | null {
  const additions = own ? own.map(({ locked: _, ...addition }) => addition) : blend;
  return additions?.length ? scheduleFor(brief, additions) : null;
}

/** The list with one member added at the end, or replaced where its id is in the list. */
function withOne<T extends { readonly id: string }>(all: readonly T[], one: T): T[] {
  const known = all.some(({ id }) => id === one.id);
  return known ? all.map((other) => (other.id === one.id ? one : other)) : [...all, one];
}

/** With a design added, or replaced where its id is known. */
export function withDesign(document: WorkspaceDocument, design: SavedDesign): WorkspaceDocument {
  return { ...document, designs: withOne(document.designs, design) };
}

/** With a new design put in and opened. */
export function withNewDesign(document: WorkspaceDocument, design: SavedDesign): WorkspaceDocument {
  return { ...withDesign(document, design), open: design.id };
}

/** Without a design; if it was open, its neighbour is opened. */
export function withoutDesign(document: WorkspaceDocument, id: string): WorkspaceDocument {
  const at = document.designs.findIndex((design) => design.id === id);
  if (at < 0) return document;
  const left = document.designs.filter((design) => design.id !== id);
  const designs =
    left.length > 0 ? left : [savedDesign(blankBrief(document.designs[at]!.brief, 'Untitled'))];
  const neighbour = designs[Math.min(at, designs.length - 1)]!;
  return { ...document, designs, open: document.open === id ? neighbour.id : document.open };
}

/** With a lot added, or replaced where its id is known. */
export function withLot(document: WorkspaceDocument, lot: SavedLot): WorkspaceDocument {
  return { ...document, lots: withOne(document.lots, lot) };
}

export function withoutLot(document: WorkspaceDocument, id: string): WorkspaceDocument {
  return { ...document, lots: document.lots.filter((lot) => lot.id !== id) };
}

/** With a batch added, or replaced where its id is known. */
export function withBatch(document: WorkspaceDocument, batch: SavedBatch): WorkspaceDocument {
  return { ...document, batches: withOne(document.batches, batch) };
}

export function withoutBatch(document: WorkspaceDocument, id: string): WorkspaceDocument {
  return { ...document, batches: document.batches.filter((batch) => batch.id !== id) };
}

/** A batch of a design: planned as this schedule says, and brewed as planned until something is entered. */
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

/** Names of the hop table, followed by those of the person's own varieties. */
export function namesWithOwn(names: readonly string[], own: OwnTables | null): readonly string[] {
  const mine = (own?.varieties ?? []).flatMap(({ name }) => name ?? []);
  return mine.length > 0 ? [...new Set([...names, ...mine])] : names;
}

/** With the person's own tables replaced. */
export function withOwnTables(document: WorkspaceDocument, own: OwnTables): WorkspaceDocument {
  const filled = Object.entries(own).filter(([, rows]) => rows.length > 0);
  return withSingle(document, 'own_tables', filled.length > 0 ? Object.fromEntries(filled) : null);
}

/** What was learned from tastings, if it is in use. */
export function learnedIn({ learning }: WorkspaceDocument): Learned | null {
  return learning?.in_use ? learning.learned : null;
}

/** With one of the parts that exist at most once; `null` removes it. */
export function withSingle<Id extends SingleId>(
  document: WorkspaceDocument,
  id: Id,
  part: SinglePart<Id> | null,
): WorkspaceDocument {
  const rest = { ...document };
  delete rest[id];
  return part ? { ...rest, [id]: part } : rest;
}
