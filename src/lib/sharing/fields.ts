// A part of a workspace as the fields that two devices may change independently: a brief as its own fields, a
// list of tastings as its members. What can be computed from other parts is not shared: the last blend of a
// design, and the grams of a lot, which are a sum of entries (`freezer.ts`).
import { OPENED } from '#state/documents/field-by-field.ts';
import { SHARED_DEPTH_MAX } from '#shared/freezer-terms.ts';
import type { SingleId } from '#shared/schemas/workspace.ts';
import { batchId, designId, lotId, type WorkspacePart } from '#storage/entries.ts';

/** Lists to which several people may add at once: each member is a field of its own. */
const GATHERED: ReadonlySet<string> = new Set(['tastings', 'lab', 'triangles', 'done', 'photos']);
/** Fields of a part that are not shared, because other fields or other parts state them. */
const UNSHARED: ReadonlySet<string> = new Set(['id', 'blend', 'grams_on_hand']);

/** A member of a gathered list: its position among the others, and its value. */
interface ListMember {
  readonly at: number;
  readonly member: unknown;
}

export type SharedFields = ReadonlyMap<string, unknown>;

/**
 * A value as JSON holds it: -0 becomes 0, and what no page writes (a shared type, deep nesting) becomes `null`.
 */
function plainValue(value: unknown, depth = 0): unknown {
  // Adding 0 turns -0 into 0.
  if (typeof value === 'number') return value + 0;
  if (typeof value === 'bigint' || value === undefined) return null;
  if (typeof value !== 'object' || value === null) return value;
  if (depth === SHARED_DEPTH_MAX) return null;
  if (Array.isArray(value)) return value.map((member: unknown) => plainValue(member, depth + 1));
  if (Object.getPrototypeOf(value) !== Object.prototype) return null;
  const fields = (Object.entries(value) as [string, unknown][]).flatMap(([name, own]) =>
    own === undefined ? [] : [[name, plainValue(own, depth + 1)] as const],
  );
  return Object.fromEntries(fields);
}

/** The contents of a shared map by name; anybody may have written anything into it. */
export function heldIn(map: Iterable<readonly [string, unknown]>): SharedFields {
  return new Map([...map].map(([name, value]) => [name, plainValue(value)]));
}

const isObject = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** A hash of a text on which devices agree (FNV-1a); the text is stored beside it. */
function nameOf(text: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i += 1) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return `${(hash >>> 0).toString(36)}.${text.length}`;
}

/** Every list of own tables is a gathered list. */
export const OWN_TABLES: SingleId = 'own_tables';
const isGathered = (key: string, field: string) => key === OWN_TABLES || GATHERED.has(field);

/** The fields of a part by their names: `f:note`, `f:brief/batch`, `m:done/<member>`. */
export function fieldsOf(key: string, part: WorkspacePart): SharedFields {
  const fields = new Map<string, unknown>();
  for (const [field, value] of Object.entries(part) as [string, unknown][]) {
    if (UNSHARED.has(field) || value === undefined) continue;
    if (Array.isArray(value) && isGathered(key, field)) {
      fields.set(`f:${field}`, []);
      const met = new Map<string, number>();
      (value as unknown[]).forEach((member, at) => {
        const text = JSON.stringify(member);
        const count = (met.get(text) ?? 0) + 1;
        met.set(text, count);
        fields.set(`m:${field}/${nameOf(text)}.${count}`, { at, member } satisfies ListMember);
      });
    } else if (isObject(value) && OPENED.has(field)) {
      fields.set(`f:${field}`, {});
      for (const [inner, own] of Object.entries(value))
        if (own !== undefined) fields.set(`f:${field}/${inner}`, own);
    } else fields.set(`f:${field}`, value);
  }
  return fields;
}

/** Whether two fields hold the same; for a member of a list its position does not count. */
function sameField(a: unknown, b: unknown): boolean {
  return JSON.stringify(a) === JSON.stringify(b);
}
const sameValue = (name: string, a: unknown, b: unknown) =>
  a !== undefined && b !== undefined && (name.startsWith('m:') || sameField(a, b));

/** The changes from one version to another, by field; `undefined` removes the field. */
export function fieldChanges(from: SharedFields, to: SharedFields): Map<string, unknown> {
  const changes = new Map<string, unknown>();
  for (const [name, value] of to)
    if (!sameValue(name, from.get(name), value)) changes.set(name, value);
  for (const name of from.keys()) if (!to.has(name)) changes.set(name, undefined);
  return changes;
}

const isMember = (value: unknown): value is ListMember => isObject(value) && 'member' in value;

/** The members of a list in an order that is the same on all devices. */
function gathered(members: readonly (readonly [string, ListMember])[]): unknown[] {
  const placeOf = ({ at }: ListMember) => (typeof at === 'number' ? at : 0);
  return [...members]
    .sort(([a, one], [b, other]) => placeOf(one) - placeOf(other) || (a < b ? -1 : 1))
    .map(([, { member }]) => member);
}

/** The value that the fields make up, unchecked: anything may have been sent. */
export function valueOf(key: string, fields: SharedFields): Record<string, unknown> {
  const whole = new Map<string, unknown>();
  const inner = new Map<string, Map<string, unknown>>();
  const members = new Map<string, [string, ListMember][]>();
  // Sorted by name, because devices store the fields in different orders.
  for (const [name, value] of [...fields].sort(([a], [b]) => (a < b ? -1 : 1))) {
    const [kind, path] = [name.slice(0, 2), name.slice(2)];
    const cut = path.indexOf('/');
    const [field, rest] = cut < 0 ? [path, ''] : [path.slice(0, cut), path.slice(cut + 1)];
    if (kind === 'm:' && isMember(value)) {
      if (!members.has(field)) members.set(field, []);
      members.get(field)!.push([name, value]);
    } else if (kind === 'f:' && cut < 0) {
      if (!UNSHARED.has(field)) whole.set(field, value);
    } else if (kind === 'f:' && OPENED.has(field)) {
      if (!inner.has(field)) inner.set(field, new Map());
      inner.get(field)!.set(rest, value);
    }
  }
  for (const [field, own] of inner) whole.set(field, Object.fromEntries(own));
  for (const [field, own] of members) if (isGathered(key, field)) whole.set(field, gathered(own));
  const id = designId(key) ?? lotId(key) ?? batchId(key);
  if (id !== null) whole.set('id', id);
  return Object.fromEntries(whole);
}
