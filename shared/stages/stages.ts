// The stages of a document: where hops may go in, under which conditions, and in which order they happen.
// A key is the name of the stage; one that is the name of a kind needs no `kind`.
import { isFields, type Fields } from '#shared/fields.ts';
import { nearestName } from '#shared/names.ts';
import { rule } from '#shared/rules.ts';
import { onFirstUse, z } from '#shared/zod.ts';
import { isStageKind, kindNamed, STAGE_KINDS, type ConditionsOf, type StageKind } from './kinds.ts';

/** Most stages of a document, and the longest name of one, characters. */
export const STAGES_MAX = 8;
export const STAGE_NAME_MAX = 40;

/** A stage as it stands in a document; `kind` is left out where the key is the kind. */
export type StageEntry<K extends StageKind = StageKind> = {
  [Kind in K]: ConditionsOf<Kind> & { kind?: Kind };
}[K];
type KindKeys = { [K in StageKind]?: StageEntry<K> };
/** The stages in use by their keys; a stage left out takes no hops. */
export interface Stages extends KindKeys {
  [key: string]: StageEntry | undefined;
}

/** Letters and digits first and last, of any script, at least one letter; points would part paths. */
const NAME = /^(?=.*\p{L})[\p{L}\p{N}](?:[\p{L}\p{M}\p{N} _,:'()+°-]*[\p{L}\p{M}\p{N})])?$/u;

/** Whether a stage may bear a name. */
export function isStageName(name: string): boolean {
  return name.length <= STAGE_NAME_MAX && NAME.test(name);
}

/** What to call a stage. */
export const STAGE_NAME_CURE = `Name it with up to ${STAGE_NAME_MAX} letters, digits, blanks and - _ , : ' ( ) +, a letter among them, a letter or digit first and last`;

/** A name of a stage where something belongs to it, like an addition. */
export const stageKeySchema = z
  .string()
  .check(
    z.refine(isStageName, rule('no stage can be called that', STAGE_NAME_CURE)),
    z.describe('the name of the stage the hop goes in'),
  );

/** What is wrong with a part of a document, by its key in it. */
interface KeyProblem {
  readonly key: string;
  readonly message: string;
  readonly cure: string;
}

/**
 * An object by the names of stages, each part by a schema. Names are checked first: the validator's record would skip
 * some without a word.
 */
export function byStage<Part extends z.ZodMiniType>(
  part: Part,
  problemsOf: (given: Fields) => readonly KeyProblem[] = () => [],
  ready: (given: Fields) => Fields = (given) => given,
) {
  return z.pipe(
    z.transform((given, ctx) => {
      if (!isFields(given)) return given;
      const named = Object.keys(given).filter((key) => !isStageName(key));
      const message = 'no stage can be called that';
      const problems = [
        ...named.map((key): KeyProblem => ({ key, message, cure: STAGE_NAME_CURE })),
        ...problemsOf(given),
      ];
      for (const { key, message, cure } of problems) {
        ctx.issues.push({ code: 'custom', input: given, path: [key], message, params: { cure } });
      }
      return ready(given);
    }),
    z.record(z.string(), part),
  );
}

const entrySchema = onFirstUse(() => {
  const entries = STAGE_KINDS.map((kind) =>
    z.safeExtend(kindNamed(kind).conditions, { kind: z.literal(kind) }),
  );
  return z.discriminatedUnion('kind', [entries[0]!, ...entries.slice(1)]);
});

function entryProblems(given: Fields): KeyProblem[] {
  const problems = Object.entries(given).flatMap(([key, entry]): KeyProblem[] => {
    const kind = isFields(entry) ? entry['kind'] : undefined;
    if (isStageKind(key)) {
      if (kind === undefined || kind === key) return [];
      const message = `the name ${key} means another kind than ${JSON.stringify(kind)}`;
      return [{ key, message, cure: 'Give the stage another name, or leave kind out' }];
    }
    if (!isFields(entry) || kind !== undefined || !isStageName(key)) return [];
    const near = nearestName(key, STAGE_KINDS);
    const say = `Say its kind, like "kind": "${near ?? 'boil'}" (known here: ${STAGE_KINDS.join(', ')})`;
    const cure = near ? `${say}, or write ${near} if that is meant` : say;
    return [{ key, message: 'the kind of this stage is missing', cure }];
  });
  const last = Object.keys(given)[STAGES_MAX];
  if (last === undefined) return problems;
  const message = `there are ${Object.keys(given).length} stages, over ${STAGES_MAX}`;
  const cure = 'Take some out, or put hops of about the same time in one stage';
  return [...problems, { key: last, message, cure }];
}

const kindOf = (key: string, entry: StageEntry): StageKind => entry.kind ?? (key as StageKind);

/** The stages of a document by their names; the kind stays away where the name is the kind. */
export const stagesSchema = onFirstUse(() =>
  z
    .pipe(
      byStage(entrySchema, entryProblems, (given) => {
        const entries = Object.entries(given).filter(([, entry]) => entry !== undefined);
        return Object.fromEntries(
          entries.map(([key, entry]) => [
            key,
            isStageKind(key) && isFields(entry) ? { ...entry, kind: key } : entry,
          ]),
        );
      }),
      z.transform((given): Stages => {
        const entries = Object.entries(given as Stages).map(([key, entry]) => {
          const { kind, ...conditions } = entry!;
          return [key, key === kind ? conditions : { kind, ...conditions }] as const;
        });
        return Object.fromEntries(entries) as Stages;
      }),
    )
    .check(
      z.describe(
        'the stages in use with their conditions: mash, boil, hot_steep, dry_hop, or by name',
      ),
    ),
);

/** A stage in use: its key in the document, its kind, its conditions. */
export type StageUse<K extends StageKind = StageKind> = {
  readonly [Kind in K]: {
    readonly key: string;
    readonly kind: Kind;
    readonly conditions: ConditionsOf<Kind>;
  };
}[K];

/** The stages of a document in the order they happen: by kind, those of a kind as they stand in it. */
export function stagesOf(stages: Readonly<Stages>): StageUse[] {
  const uses = Object.entries(stages).flatMap(([key, conditions]) =>
    conditions ? [{ key, kind: kindOf(key, conditions), conditions } as StageUse] : [],
  );
  return STAGE_KINDS.flatMap((kind) => uses.filter((use) => use.kind === kind));
}

/** The stage of that key; `undefined` where there is none. */
export function stageAt(stages: Readonly<Stages>, key: string): StageUse | undefined {
  return stagesOf(stages).find((use) => use.key === key);
}

/** A stage as it is shown; its kind is `null` where the document knows no such stage. */
export interface ShownStage {
  readonly key: string;
  readonly kind: StageKind | null;
}

/** Some stages of a document in the order they happen, those it does not know last. */
export function shownStages(stages: Readonly<Stages>, keys: Iterable<string>): ShownStage[] {
  const wanted = new Set(keys);
  const known = stagesOf(stages).filter(({ key }) => wanted.has(key));
  const strange = [...wanted].filter((key) => !known.some((use) => use.key === key));
  return [
    ...known.map(({ key, kind }) => ({ key, kind })),
    ...strange.map((key) => ({ key, kind: null })),
  ];
}
