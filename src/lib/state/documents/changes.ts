// Which changes of the workspace are accepted: changed parts are checked by their schema and counted; unchanged
// parts stay the same objects, so that whoever observes them sees no change.
import { onFirstUse, z } from '#shared/zod.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import { check } from '#shared/reading/check.ts';
import { savedBatchSchema, type SavedBatch } from '#shared/schemas/batch.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import {
  BY_EDITS,
  savedDesignSchema,
  savedLotSchema,
  SINGLE_IDS,
  SINGLE_PARTS,
  type SavedDesign,
  type Room,
  type SavedLot,
  type SingleId,
  type SinglePart,
  type WorkspaceDocument,
} from '#shared/schemas/workspace.ts';
import { designIn, withDesign, withoutDesign, withSingle } from './documents.ts';
import { fieldByField } from './field-by-field.ts';
import type { Elsewhere } from './keeping.ts';

const restOfDesign = onFirstUse(() => z.omit(savedDesignSchema, { brief: true }));

function checkedDesign(before: SavedDesign | undefined, after: SavedDesign): Outcome<SavedDesign> {
  const { brief, ...others } = after;
  const saved_at = before ? new Date().toISOString() : after.saved_at;
  const rest = check({ ...others, saved_at }, restOfDesign);
  if (!rest.ok) return rest;
  if (brief === before?.brief) return success({ ...rest.value, brief });
  const checked = check(brief, briefSchema);
  return checked.ok ? success({ ...rest.value, brief: checked.value }) : checked;
}

/** The list with its changed members checked; the first failure is returned. */
function checkedList<T extends { readonly id: string }>(
  before: readonly T[],
  after: readonly T[],
  checked: (before: T | undefined, after: T) => Outcome<T>,
): Outcome<T[]> {
  const known = new Map(before.map((member) => [member.id, member]));
  const list: T[] = [];
  for (const member of after) {
    const old = known.get(member.id);
    const outcome = member === old ? success(member) : checked(old, member);
    if (!outcome.ok) return outcome;
    list.push(outcome.value);
  }
  return success(list);
}

/** Whether additions can be kept as the blend of a design. */
export function isBlend(additions: readonly Addition[]): boolean {
  return check(additions, savedDesignSchema.shape.blend).ok;
}

/**
 * The failure where an edit leads to more than a workspace may hold; `null` where it does not. A workspace that
 * already held more may keep it or hold less.
 */
function tooMany(
  field: keyof Room,
  before: WorkspaceDocument,
  after: WorkspaceDocument,
  room: Room,
): Outcome<never> | null {
  const [count, most] = [after[field].length, room[field]];
  if (count <= most || count <= before[field].length) return null;
  return failure({
    path: field,
    message: `that would make ${count} ${field}, over the ${most} that a workspace holds`,
    cure: `Save a workspace file, then delete ${field} you no longer need, or take in fewer`,
  });
}

/** The document after an edit: its new parts checked, its changed designs stamped with the time. */
export function checkedChange(
  before: WorkspaceDocument,
  after: WorkspaceDocument,
  room: Room = BY_EDITS,
): Outcome<WorkspaceDocument> {
  const excess =
    tooMany('designs', before, after, room) ??
    tooMany('lots', before, after, room) ??
    tooMany('batches', before, after, room);
  if (excess) return excess;
  const designs = checkedList(before.designs, after.designs, checkedDesign);
  if (!designs.ok) return designs;
  const lots = checkedList<SavedLot>(before.lots, after.lots, (_, lot) =>
    check(lot, savedLotSchema),
  );
  if (!lots.ok) return lots;
  const batches = checkedList<SavedBatch>(before.batches, after.batches, (_, batch) =>
    check(batch, savedBatchSchema),
  );
  if (!batches.ok) return batches;
  for (const id of SINGLE_IDS) {
    if (!after[id] || after[id] === before[id]) continue;
    const part = check<SinglePart>(after[id], SINGLE_PARTS[id]);
    if (!part.ok) return part;
  }
  return success({
    ...after,
    designs: designs.value,
    lots: lots.value,
    batches: batches.value,
  });
}

/** Parts of a value of the history that the present no longer has, added to what comes from elsewhere. */
function rebased<T extends object>(
  mine: T,
  seen: T | undefined,
  theirs: T,
  schema: z.ZodMiniType<T>,
): T {
  if (!seen || seen === mine) return theirs;
  const both = check(fieldByField(seen, mine, theirs), schema);
  return both.ok ? both.value : theirs;
}

/**
 * A list with the changes made elsewhere: members replaced, removed, or added at the end.
 * @param seen the list at present; a member that it has and `mine` has not was added by this person, not
 * elsewhere.
 */
function listWith<T extends { readonly id: string }>(
  mine: readonly T[],
  theirs: ReadonlyMap<string, T | null>,
  seen: readonly T[],
  schema: z.ZodMiniType<T>,
): T[] {
  const known = new Set([...mine, ...seen].map(({ id }) => id));
  const before = new Map(seen.map((member) => [member.id, member]));
  const kept = mine.flatMap((member) => {
    const changed = theirs.get(member.id);
    if (changed === undefined) return [member];
    return changed ? rebased(member, before.get(member.id), changed, schema) : [];
  });
  return [
    ...kept,
    ...[...theirs.values()].flatMap((member) => (member && !known.has(member.id) ? member : [])),
  ];
}

/**
 * A value of the history with what another tab or another device has saved.
 * @param seen the present: what differs from it is this person's own edit and stays, so that undo takes back
 * their edits and nobody else's.
 */
export function withElsewhere(
  document: WorkspaceDocument,
  { designs, lots, batches, ...singles }: Elsewhere,
  seen: WorkspaceDocument = document,
): WorkspaceDocument {
  // There are few designs; the function below also decides which one is opened when the open one is removed.
  let result = document;
  for (const [id, theirs] of designs) {
    const [mine, present] = [designIn(document, id), designIn(seen, id)];
    if (!theirs) result = withoutDesign(result, id);
    else if (mine) result = withDesign(result, rebased(mine, present, theirs, savedDesignSchema));
    else if (!present) result = withDesign(result, theirs);
  }
  if (lots.size > 0) {
    result = { ...result, lots: listWith(result.lots, lots, seen.lots, savedLotSchema) };
  }
  if (batches.size > 0) {
    const list = listWith(result.batches, batches, seen.batches, savedBatchSchema);
    result = { ...result, batches: list };
  }
  for (const id of SINGLE_IDS) {
    const part = singles[id];
    if (part !== undefined) result = withSingle<SingleId>(result, id, part);
  }
  return result;
}
