// The edits a person may make to the stages of a design: add, rename, move and remove one. Everything that
// names a stage follows its new name; a stage with hops placed by hand is not removed.
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { STAGE_LIMITS, usualStageLimits } from '#shared/schemas/stage-limits.ts';
import type { SavedDesign } from '#shared/schemas/workspace.ts';
import { isStageKind, spokenStage, stageName, type StageKind } from '#shared/stages/kinds.ts';
import { freeKey, usualStage } from '#shared/stages/naming.ts';
import {
  isStageName,
  STAGE_NAME_CURE,
  stageAt,
  STAGES_MAX,
  stagesOf,
  type StageEntry,
  type Stages,
} from '#shared/stages/stages.ts';

function refused<T>(message: string, cure: string): Outcome<T> {
  return failure({ path: 'stages', message, cure });
}

/** The brief with one more stage of a kind, under the usual conditions and with the usual forms and doses; and its key. */
export function withStageAdded(
  brief: Brief,
  kind: StageKind,
): Outcome<{ readonly brief: Brief; readonly key: string }> {
  const { stages } = brief;
  if (Object.keys(stages).length >= STAGES_MAX) {
    return refused(
      `there are ${STAGES_MAX} stages, the most there can be`,
      'Remove one first, or put hops of about the same time in one stage',
    );
  }
  const key = freeKey(stages, kind);
  const added: Stages = { [key]: usualStage(kind, key) };
  const limits = { ...brief.limits };
  const { stage_forms: forms, stage_at_most_g_per_l: mosts } = usualStageLimits({
    batch: brief.batch,
    stages: added,
  });
  if (forms) limits.stage_forms = { ...limits.stage_forms, ...forms };
  if (mosts) limits.stage_at_most_g_per_l = { ...limits.stage_at_most_g_per_l, ...mosts };
  return success({ brief: { ...brief, stages: { ...stages, ...added }, limits }, key });
}

/** A record in which one key is renamed; the order stays. */
function rekeyed<T>(record: Readonly<Record<string, T>>, from: string, to: string) {
  return Object.fromEntries(
    Object.entries(record).map(([key, part]) => [key === from ? to : key, part]),
  );
}

/** The brief at the stages of a batch; limits on stages that the batch has not under that name are left out. */
export function atStages(brief: Brief, stages: Brief['stages']): Brief {
  const gone = STAGE_LIMITS.flatMap((limit) => Object.keys(brief.limits[limit] ?? {})).filter(
    (key) => !stageAt(stages, key),
  );
  const limits = gone.reduce((left, key) => limitsWith(left, key, null), brief.limits);
  return { ...brief, stages, limits };
}

/** The limits in which those on a stage are renamed, or removed where `name` is `null`. */
function limitsWith(limits: Brief['limits'], key: string, name: string | null): Brief['limits'] {
  const all: Partial<Record<keyof Brief['limits'], unknown>> = { ...limits };
  for (const limit of STAGE_LIMITS) {
    const parts = limits[limit];
    if (!parts) continue;
    const left =
      name === null
        ? Object.fromEntries(Object.entries(parts).filter(([of]) => of !== key))
        : rekeyed<unknown>(parts, key, name);
    if (Object.keys(left).length > 0) all[limit] = left;
    else delete all[limit];
  }
  return all as Brief['limits'];
}

/**
 * The design with a stage renamed, hops, limits and all. Fails where a stage cannot have that name or another
 * has it.
 */
export function withStageRenamed(
  design: SavedDesign,
  key: string,
  given: string,
): Outcome<SavedDesign> {
  const { brief } = design;
  const named = given.trim();
  const use = stageAt(brief.stages, key);
  if (!use || named === stageName(key)) return success(design);
  // A stage called by the shown name of its kind has the kind as its key.
  const to = named === stageName(use.kind) ? use.kind : named;
  if (!isStageName(to)) return refused(`no stage can be called “${named}”`, STAGE_NAME_CURE);
  if (isStageKind(to) && to !== use.kind) {
    return refused(`“${named}” means another kind of stage`, 'Give it another name');
  }
  const same = Object.keys(brief.stages).find((other) => other !== key && alike(other, to));
  if (same !== undefined) {
    return refused(`a stage is called ${stageName(same)} already`, 'Give it another name');
  }
  const { kind: _, ...conditions } = brief.stages[key]!;
  const entry = (to === use.kind ? conditions : { kind: use.kind, ...conditions }) as StageEntry;
  const stages = rekeyed({ ...brief.stages, [key]: entry }, key, to) as Stages;
  const moved = <A extends Addition>(list: readonly A[]) =>
    list.map((a) => (a.stage === key ? { ...a, stage: to } : a));
  const { keep } = brief;
  return success({
    ...design,
    brief: {
      ...brief,
      stages,
      limits: limitsWith(brief.limits, key, to),
      ...(keep && { keep: moved(keep) }),
    },
    ...(design.blend && { blend: moved(design.blend) }),
    ...(design.own && { own: moved(design.own) }),
  });
}

const alike = (a: string, b: string) =>
  [a, stageName(a)].some((x) => [b, stageName(b)].some((y) => x.toLowerCase() === y.toLowerCase()));

/** The design without a stage. Fails where a person has placed hops there by hand. */
export function withoutStage(design: SavedDesign, key: string): Outcome<SavedDesign> {
  const { brief, own = [] } = design;
  const there = [...own, ...(brief.keep ?? [])].filter((a) => a.stage === key && a.grams > 0);
  if (there.length > 0) {
    const hops = [...new Set(there.map((a) => a.hop))].join(', ');
    return refused(
      `${hops} ${there.length > 1 ? 'go' : 'goes'} in at ${spokenStage(key)}`,
      'Move or remove these hops under Edit by hand first',
    );
  }
  const stages = Object.fromEntries(
    Object.entries(brief.stages).filter(([of]) => of !== key),
  ) as Stages;
  const { blend: _, ...left } = design;
  const limits = limitsWith(brief.limits, key, null);
  return success({
    ...left,
    ...(design.own && { own: own.filter((a) => a.stage !== key) }),
    brief: { ...brief, stages, limits },
  });
}

/** The keys of the stages of the same kind, in order: a stage can be moved only among these. */
export function amongItsKind(stages: Readonly<Stages>, key: string): string[] {
  const all = stagesOf(stages);
  const kind = all.find((use) => use.key === key)?.kind;
  return all.filter((use) => use.kind === kind).map((use) => use.key);
}

/** The brief with a stage moved one place earlier (-1) or later (1) among those of its kind. */
export function withStageMoved(brief: Brief, key: string, by: -1 | 1): Brief {
  const own = amongItsKind(brief.stages, key);
  const at = own.indexOf(key);
  const other = own[at + by];
  if (other === undefined) return brief;
  [own[at], own[at + by]] = [other, key];
  const places = stagesOf(brief.stages).map((use) => use.key);
  let next = 0;
  const order = places.map((place) => (own.includes(place) ? own[next++]! : place));
  return {
    ...brief,
    stages: Object.fromEntries(order.map((of) => [of, brief.stages[of]])) as Stages,
  };
}
