// From a recipe of an open standard to a schedule, and back. Hops that have not changed since they were read are
// written out to the letter; everything beside the hops stays as it was.
import { failure, sentence, success, type Outcome, type Problem } from '#shared/outcome.ts';
import { listedSchedule, type ListedAddition } from '#shared/lists/schedule-list.ts';
import { check } from '#shared/reading/check.ts';
import { scheduleSchema, type Schedule } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { RECIPE_CHARACTERS_MAX } from '#shared/schemas/recipe.ts';
import { kindNamed, STAGE_KINDS } from '#shared/stages/kinds.ts';
import { nameBeside } from '#shared/stages/naming.ts';
import { stageAt, type StageEntry, type Stages } from '#shared/stages/stages.ts';
import type { GramsPerLitre, Percent } from '#shared/units.ts';
import { keptIn, notesWith, othersNotes, type KeptSchedule } from './kept-figures.ts';
import type { BatchToWrite, HopToWrite, Standard, RecipeBatch } from './standard.ts';

/** Malt of an ordinary pale ale, where a recipe gives none; common practice, no source. */
const USUAL_MALT_G_PER_L: GramsPerLitre = 200;
/** Figures that differ by less than this part are the same figure, written by another program. */
const SAME = 1e-6;

/** A schedule read from a recipe. */
export interface ReadRecipe {
  readonly schedule: Schedule;
  /** What the recipe leaves out and was assumed, a sentence each. */
  readonly supposed: readonly string[];
}

/** The alpha acids of a hop by the table; `null` where it has none. */
export type AlphaOf = (hop: string) => Percent | null;

/** The same text for hops with the same content. */
function sameHop({ addition, stage }: ListedAddition): string {
  return JSON.stringify([
    addition.hop,
    addition.form,
    Math.round(addition.grams * 1000),
    Object.entries(addition.analysis ?? {}).sort(),
    stage.kind,
    stage.practice?.name,
    Object.entries(stage.conditions).sort(),
  ]);
}

/** For each hop the index of an equal one among others, each taken once; else `null`. */
function matches(
  hops: readonly ListedAddition[],
  others: readonly ListedAddition[],
): (number | null)[] {
  const free = new Map<string, number[]>();
  for (const [i, other] of others.entries()) {
    const key = sameHop(other);
    free.set(key, [...(free.get(key) ?? []), i]);
  }
  return hops.map((hop) => free.get(sameHop(hop))?.shift() ?? null);
}

interface Hops {
  readonly read: readonly ListedAddition[];
  /** Why the other hops could not be read. */
  readonly left: readonly Problem[];
}

function hopsOf<Recipe>(standard: Standard<Recipe>, recipe: Recipe): Hops {
  const outcomes = standard.hops(recipe);
  return {
    read: outcomes.flatMap((hop) => (hop.ok ? [hop.value] : [])),
    left: outcomes.flatMap((hop): readonly Problem[] => (hop.ok ? [] : hop.problems)),
  };
}

/**
 * Adds stages to those there are: an equal one is shared; a different one of the same name gets a name of its own.
 */
function joinStages(
  stages: Stages,
  more: Stages,
): { stages: Stages; renamed: Map<string, string> } {
  const joined: Stages = { ...stages };
  const renamed = new Map<string, string>();
  for (const [key, entry] of Object.entries(more)) {
    const there = joined[key];
    const equal = there && JSON.stringify(there) === JSON.stringify(entry);
    const own = there && !equal ? nameBeside(Object.keys(joined), key) : key;
    const kind = stageAt(more, key)?.kind;
    joined[own] = own === key ? entry : ({ ...entry, kind } as StageEntry);
    renamed.set(key, own);
  }
  return { stages: joined, renamed };
}

const close = (a: number | undefined, b: number | undefined) =>
  a === b || (a !== undefined && b !== undefined && Math.abs(a - b) <= SAME * Math.abs(b));

/**
 * The batch: each figure as the recipe gives it, else from the schedule in its notes, else the usual one; and what
 * was assumed.
 */
function batchOf(
  given: RecipeBatch,
  kept: Schedule | null,
): Outcome<{ batch: Schedule['batch']; supposed: string[] }> {
  if (given.beer_l === undefined) {
    const cure = 'Give the recipe its batch size';
    return failure({ path: 'batch', message: 'the batch size is missing', cure });
  }
  const supposed: string[] = [];
  const suppose = <T>(value: T, sentence: string): T => {
    supposed.push(sentence);
    return value;
  };
  const malt = given.malt_g === undefined ? undefined : given.malt_g / given.beer_l;
  return success({
    batch: {
      ...kept?.batch,
      beer_l: given.beer_l,
      yeast:
        kept?.batch.yeast ??
        suppose(
          'standard' as const,
          'A recipe does not say whether its yeast frees thiols: standard yeast is assumed.',
        ),
      malt_g_per_l:
        kept?.batch.malt_g_per_l ??
        malt ??
        suppose(
          USUAL_MALT_G_PER_L,
          `The recipe gives no malt: ${USUAL_MALT_G_PER_L} g/L are assumed.`,
        ),
      ...(given.gravity_sg !== undefined && { gravity_sg: given.gravity_sg }),
      ...(given.co2_vol !== undefined && { co2_vol: given.co2_vol }),
    },
    supposed,
  });
}

/** Which stages stand at their usual temperature because the recipe gives none. */
function supposedTemperatures(listed: readonly ListedAddition[]): string[] {
  return STAGE_KINDS.flatMap((kind) => {
    const { name, usual, listed: fields } = kindNamed(kind);
    const field = fields.temperature;
    if (field === undefined) return [];
    const silent = listed.some(
      (hop) => hop.stage.kind === kind && !(field in hop.stage.conditions),
    );
    if (!silent) return [];
    const figure = String((usual as Readonly<Record<string, unknown>>)[field]);
    return [`The recipe gives no temperature of a ${name.toLowerCase()}: ${figure} C is assumed.`];
  });
}

/**
 * Reads the first recipe of a text as a schedule. Hops that cannot be read are reported and left out. Fails where no
 * hop can be read or the batch size is missing.
 */
export function scheduleFrom<Recipe>(
  standard: Standard<Recipe>,
  text: string,
): Outcome<ReadRecipe> {
  if (text.length > RECIPE_CHARACTERS_MAX) {
    const message = `the recipe has over ${RECIPE_CHARACTERS_MAX / 1e6} million characters`;
    return failure({ path: '', message, cure: 'Save the one recipe alone, without pictures' });
  }
  const read = standard.read(text);
  if (!read.ok) return read;
  const recipe = read.value;
  const given = standard.batch(recipe);
  const hops = hopsOf(standard, recipe);
  const block = keptIn(given.notes);
  const kept = block?.schedule ?? null;
  const batch = batchOf(given, kept);
  const readsNone = hops.read.length === 0 && hops.left.length > 0;
  if (!batch.ok || readsNone) {
    return failure(...(readsNone ? hops.left : []), ...(batch.ok ? [] : batch.problems));
  }
  const own = block ? writtenHops(standard, block) : [];
  const from = matches(hops.read, own);
  const listed = hops.read.filter((_, i) => from[i] === null);
  const others = listedSchedule(listed, {});
  if (!others.ok) return others;
  const { stages, renamed } = joinStages(kept?.stages ?? {}, others.value.stages);
  const rest = [...others.value.additions];
  const additions = from.map((index): Addition => {
    if (index !== null) return kept!.additions[index]!;
    const addition = rest.shift()!;
    return { ...addition, stage: renamed.get(addition.stage)! };
  });
  const count = standard.count(recipe);
  const supposed = [
    ...(count > 1 ? [`The file holds ${count} recipes: the first is read.`] : []),
    ...hops.left.map(
      (problem) => `${sentence('', problem)} It stays in the recipe but is not used here.`,
    ),
    ...supposedTemperatures(listed),
    ...batch.value.supposed,
  ];
  const { thresholds, compounds_only } = kept ?? {};
  const schedule = check(
    {
      name: given.name.trim(),
      batch: batch.value.batch,
      stages,
      ...(thresholds && { thresholds }),
      ...(compounds_only !== undefined && { compounds_only }),
      additions,
      recipe: { format: standard.format, text },
    },
    scheduleSchema,
  );
  return schedule.ok ? success({ schedule: schedule.value, supposed }) : schedule;
}

/** Our hops as the standard would write them, read back. */
function writtenHops<Recipe>(
  standard: Standard<Recipe>,
  { schedule, alpha_pct }: KeptSchedule,
): ListedAddition[] {
  const written = standard.with(
    standard.empty(),
    {},
    schedule.additions.map((addition, i) => toWrite(schedule, addition, alpha_pct[i]!)),
  );
  return [...hopsOf(standard, written).read];
}

function toWrite(schedule: Schedule, addition: Addition, alpha_pct: Percent): HopToWrite {
  const use = stageAt(schedule.stages, addition.stage)!;
  return { addition, use, alpha_pct, like: null, same: false };
}

/** Which hop of the recipe each addition continues: an equal one, else one of its variety. */
function continued(
  schedule: Schedule,
  before: Schedule | null,
): { readonly like: number | null; readonly same: boolean }[] {
  const taken = new Set<number>();
  const stageText = (from: Schedule, key: string) => JSON.stringify(stageAt(from.stages, key));
  const take = (fits: (old: Addition) => boolean): number | null => {
    const index = before?.additions.findIndex((old, i) => !taken.has(i) && fits(old)) ?? -1;
    if (index >= 0) taken.add(index);
    return index < 0 ? null : index;
  };
  const equal = schedule.additions.map((addition) =>
    take(
      (old) =>
        JSON.stringify(old) === JSON.stringify(addition) &&
        stageText(before!, old.stage) === stageText(schedule, addition.stage),
    ),
  );
  return schedule.additions.map((addition, i) => {
    if (equal[i] !== null) return { like: equal[i]!, same: true };
    const like = take((old) => old.hop === addition.hop && old.stage === addition.stage);
    return { like: like ?? take((old) => old.hop === addition.hop), same: false };
  });
}

/** Figures of the batch that differ from what the recipe gives. */
function batchChanges({ name, batch }: Schedule, given: RecipeBatch): BatchToWrite {
  return {
    ...(name !== given.name.trim() && { name }),
    ...(!close(given.beer_l, batch.beer_l) && { beer_l: batch.beer_l }),
    ...(batch.gravity_sg !== undefined &&
      !close(given.gravity_sg, batch.gravity_sg) && { gravity_sg: batch.gravity_sg }),
    ...(batch.co2_vol !== undefined &&
      !close(given.co2_vol, batch.co2_vol) && { co2_vol: batch.co2_vol }),
  };
}

/** The content of a schedule without the recipe it came from, as one text. */
function sayingOf({ recipe: _, ...schedule }: Schedule): string {
  return JSON.stringify(schedule);
}

/**
 * A schedule as a recipe of the standard: the one it came from with our hops in it, else a new one.
 * Fails where a hop has no alpha acids, which both standards demand.
 */
export function recipeText<Recipe>(
  standard: Standard<Recipe>,
  schedule: Schedule,
  alphaOf: AlphaOf,
): Outcome<string> {
  const { recipe: origin } = schedule;
  const old = origin?.format === standard.format ? standard.read(origin.text) : null;
  if (old && !old.ok) return old;
  const base = old ? old.value : standard.empty();
  const before = old ? scheduleFrom(standard, origin!.text) : null;
  if (before && !before.ok) return before;
  const alphas = schedule.additions.map((a) => a.analysis?.alpha_pct ?? alphaOf(a.hop));
  const problems = schedule.additions.flatMap(({ hop }, i): Problem[] =>
    alphas[i] !== null
      ? []
      : [
          {
            path: `additions[${i}].analysis.alpha_pct`,
            message: `${standard.name} needs the alpha acids of each hop, and those of ${hop} are not known`,
            cure: 'Give them, like "analysis": {"alpha_pct": 8}',
          },
        ],
  );
  if (problems.length > 0) return failure(...problems);
  const likes = continued(schedule, before ? before.value.schedule : null);
  const hops = schedule.additions.map((addition, i) => ({
    ...toWrite(schedule, addition, alphas[i]!),
    ...likes[i]!,
  }));
  const given = standard.batch(base);
  const changes = batchChanges(schedule, given);
  const plain = standard.with(
    base,
    { ...changes, ...(keptIn(given.notes) && { notes: othersNotes(given.notes) }) },
    hops,
  );
  const back = scheduleFrom(standard, standard.text(plain));
  if (back.ok && sayingOf(back.value.schedule) === sayingOf(schedule)) {
    return success(standard.text(plain));
  }
  return success(
    standard.text(
      standard.with(
        base,
        {
          ...changes,
          notes: notesWith(given.notes, { schedule, alpha_pct: hops.map((hop) => hop.alpha_pct) }),
        },
        hops,
      ),
    ),
  );
}
