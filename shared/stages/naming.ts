// Stages put into a document: one of a kind that it lacks, and names that no other stage bears yet.
import { KINDS, stageName, type StageKind } from './kinds.ts';
import { stagesOf, STAGE_NAME_MAX, type StageEntry, type Stages } from './stages.ts';

/** The conditions a stage of a kind starts with, as they stand in a document under that key. */
export function usualStage(kind: StageKind, key: string): StageEntry {
  const usual = KINDS[kind].usual;
  return (key === kind ? usual : { kind, ...usual }) as StageEntry;
}

/** A key for one more stage of a kind: the kind itself, else "Dry hop 2", "Dry hop 3". */
export function freeKey(stages: Readonly<Stages>, kind: StageKind): string {
  if (stages[kind] === undefined) return kind;
  const keys = Object.keys(stages);
  return nameBeside([...keys, ...keys.map(stageName)], stageName(kind));
}

/** A name none of those taken, no longer than a name may be. */
export function nameBeside(taken: readonly string[], name: string): string {
  if (!taken.includes(name)) return name;
  for (let i = 2; ; i += 1) {
    const other = `${name.slice(0, STAGE_NAME_MAX - ` ${i}`.length)} ${i}`;
    if (!taken.includes(other)) return other;
  }
}

/** The stages with one of a kind among them, and the key of the first such. */
export function withKind(
  stages: Readonly<Stages>,
  kind: StageKind,
): { readonly stages: Stages; readonly key: string } {
  const known = stagesOf(stages).find((use) => use.kind === kind);
  if (known) return { stages, key: known.key };
  const key = freeKey(stages, kind);
  return { stages: { ...stages, [key]: usualStage(kind, key) }, key };
}
