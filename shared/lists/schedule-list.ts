// Rows of a hop schedule to additions, each row on its own like those of a list of lots; and the stages of the rows
// together: each stage that differs from the others becomes one of its own.
import { failure, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { check } from '#shared/reading/check.ts';
import { additionSchema, type Addition } from '#shared/schemas/lot.ts';
import { KINDS, kindNamed, STAGE_KINDS, stageName } from '#shared/stages/kinds.ts';
import { nameBeside } from '#shared/stages/naming.ts';
import { STAGES_MAX, stagesOf, type StageEntry, type Stages } from '#shared/stages/stages.ts';
import type { ListRow } from './csv.ts';
import { STAGE_COLUMNS } from './lot-columns.ts';
import { numberOf } from './figures.ts';
import { readCells, type ListReading, type ReadRow } from './lot-list.ts';
import { readStage, type BesideStage, type ListedStage } from './stage-words.ts';

/** An addition whose stage is still as the list writes it. */
export interface ListedAddition {
  readonly addition: Omit<Addition, 'stage'>;
  readonly stage: ListedStage;
}

const inMinutes = ({ kind }: ListedStage) => kindNamed(kind).listed.time.perMinute === 1;

/** A time without its unit is minutes in the kettle; elsewhere it is refused, because it may be hours or days. */
function unitless(time: number): Problem {
  return { path: 'time', message: `${time} has no unit`, cure: 'Write it like 4 days or 72 h' };
}

/** Reads one row to an addition. `known` says what else is wrong with it, like an unknown variety. */
export function readAddition(
  row: ListRow,
  reading: ListReading,
  known: (addition: Omit<Addition, 'stage'>) => readonly Problem[] = () => [],
): ReadRow<ListedAddition> {
  return readCells(row, reading, (fields) => {
    const { stage: stageCell, time, ...others } = fields;
    const beside = Object.fromEntries(
      STAGE_COLUMNS.flatMap((column) => {
        const value = others[column];
        return typeof value === 'number' ? [[column, value]] : [];
      }),
    ) as { -readonly [K in keyof BesideStage]: BesideStage[K] };
    const own = Object.fromEntries(
      Object.entries(others).filter(([field]) => !STAGE_COLUMNS.some((c) => c === field)),
    );
    const bare = typeof time === 'string' ? numberOf(time, reading.decimalMark) : null;
    if (bare !== null) beside.minutes = bare;
    const words = [stageCell, bare === null ? time : undefined]
      .filter((part) => typeof part === 'string')
      .join(' ');
    const missing = {
      path: 'stage',
      message: 'the field is missing',
      cure: 'Say where it goes in',
    };
    const stage = words === '' ? failure<ListedStage>(missing) : readStage(words, beside);
    const addition = check({ ...own, stage: 'boil' }, additionSchema);
    const problems = [
      ...(bare !== null && stage.ok && !inMinutes(stage.value) ? [unitless(bare)] : []),
      ...(stage.ok ? [] : stage.problems),
      ...(addition.ok ? known(addition.value) : addition.problems),
    ];
    if (!stage.ok || !addition.ok || problems.length > 0) return failure(...problems);
    const { stage: _, ...rest } = addition.value;
    return success({ addition: rest, stage: stage.value });
  });
}

/** Boil where neither the design nor the list says how long it is, min; common practice, no source. */
const USUAL_BOIL = KINDS.boil.usual.minutes;

/** How long the whole boil is, min: as the mash has it, and no shorter than any hops are in it. */
function wholeBoil(listed: readonly ListedAddition[], like: Readonly<Stages>): number {
  const minutes = listed.flatMap(({ stage: { kind, conditions, practice } }) =>
    kind === 'boil' && !practice ? [conditions['minutes'] ?? USUAL_BOIL] : [],
  );
  const mashed = stagesOf(like).flatMap((use) =>
    use.kind === 'mash' ? [use.conditions.boil_minutes] : [],
  );
  return Math.max(
    ...minutes,
    ...mashed,
    ...(minutes.length + mashed.length === 0 ? [USUAL_BOIL] : []),
  );
}

interface Placed {
  readonly key: string;
  readonly kind: ListedStage['kind'];
  readonly entry: StageEntry;
}

/** Conditions a list does not give are those of the design's own stage of the kind, else usual ones. */
function entryOf(
  stage: ListedStage,
  key: string,
  whole: number,
  like: Readonly<Stages>,
): StageEntry {
  const { kind, practice } = stage;
  const own = stagesOf(like).find((use) => use.kind === kind);
  const base: Record<string, unknown> = {
    ...(kind === 'boil' ? undefined : (own?.conditions ?? undefined)),
  };
  // What belongs to that one stage alone does not come along with its figures.
  for (const field of stage.name === null ? [] : ['kind', 'day', 'cooling', 'liquor_l'])
    delete base[field];
  const conditions = {
    ...kindNamed(kind).usual,
    ...base,
    ...(practice?.wholeBoil && { minutes: whole }),
    ...stage.conditions,
  };
  const { kind: _, ...bare } = conditions as { kind?: unknown };
  return (key === kind ? bare : { kind, ...bare }) as StageEntry;
}

/** One text for all rows of the same stage: of its conditions, or of its name where it has none. */
function sameStage({ kind, conditions, practice, name }: ListedStage): string {
  const figures = Object.entries(conditions).sort();
  return JSON.stringify([
    kind,
    practice?.name,
    figures,
    name !== null,
    figures.length === 0 && name,
  ]);
}

/** A schedule's stages and additions as a list gives them. */
export interface ListedSchedule {
  readonly stages: Stages;
  readonly additions: readonly Addition[];
}

/**
 * The stages and additions of a list together. Stages of the design beside it come along as far as the
 * list has none of their kind and there is room. Fails where the list has more stages than there may be.
 */
export function listedSchedule(
  listed: readonly ListedAddition[],
  like: Readonly<Stages>,
): Outcome<ListedSchedule> {
  const whole = wholeBoil(listed, like);
  const placed = new Map<string, Placed>();
  const additions = listed.map(({ addition, stage }): Addition => {
    const { kind, name } = stage;
    const same = sameStage(stage);
    let place = placed.get(same);
    if (!place) {
      const taken = [...placed.values()].map(({ key }) => key);
      const key = nameBeside(
        [...taken, ...STAGE_KINDS, ...STAGE_KINDS.map(stageName)],
        name ?? kind,
      );
      place = {
        key: name === null ? kind : key,
        kind,
        entry: entryOf(stage, name === null ? kind : key, whole, like),
      };
      placed.set(same, place);
    }
    return { ...addition, stage: place.key };
  });
  if (placed.size > STAGES_MAX) {
    return failure({
      path: 'stages',
      message: `the list has ${placed.size} stages, over ${STAGES_MAX}`,
      cure: 'Give hops of about the same time the same stage in the list',
    });
  }
  const beside = stagesOf(like).flatMap(({ key, kind }): Placed[] =>
    [...placed.values()].some((place) => place.kind === kind)
      ? []
      : [{ key, kind, entry: like[key]! }],
  );
  const all = [...inOrder([...placed.values()]), ...beside.slice(0, STAGES_MAX - placed.size)];
  const stages = Object.fromEntries(all.map(({ key, entry }) => [key, entry])) as Stages;
  return success({ stages, additions });
}

/** By kind; those of a kind by the condition that says when they happen. */
function inOrder(placed: readonly Placed[]): Placed[] {
  const whenOf = ({ kind, entry }: Placed): number => {
    const { placedBy, latestFirst } = kindNamed(kind);
    const when = placedBy ? (entry as Readonly<Record<string, unknown>>)[placedBy] : undefined;
    return typeof when === 'number' ? (latestFirst ? -when : when) : 0;
  };
  return [...placed].sort(
    (a, b) => STAGE_KINDS.indexOf(a.kind) - STAGE_KINDS.indexOf(b.kind) || whenOf(a) - whenOf(b),
  );
}
