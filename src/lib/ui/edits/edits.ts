// The edits the screen can make, each with the name that undo shows.
import { wishSubject } from '#shared/answers/wish-subject.ts';
import type { AxisId, SchoolId } from '#shared/ids.ts';
import type { Batch, Brief, Limits, Target } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { DOSE_G_PER_L_MAX } from '#shared/schemas/sizes.ts';
import { withStageForms } from '#shared/schemas/stage-limits.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { wishOf, type HandledWish } from '#state/documents/wish.ts';
import { intensity } from '#wording/format.ts';
import { AXIS_NAMES } from '#shared/words.ts';
import { wishName } from '#wording/wishes.ts';
import { WISH_KIND_NAMES } from '#wording/words.ts';

/** The brief with another wish on one axis. */
export function withWish(brief: Brief, axis: AxisId, handled: HandledWish): Brief {
  const target: Target = { ...brief.target };
  const wish = wishOf(handled);
  if (wish) target[axis] = wish;
  else delete target[axis];
  return { ...brief, target };
}

function wishWords(axis: AxisId, { kind, value }: HandledWish): string {
  const name = AXIS_NAMES[axis].toLowerCase();
  return kind === 'free' ? `free ${name}` : `${name} ${WISH_KIND_NAMES[kind]} ${intensity(value)}`;
}

export function setWish(
  workbench: Workbench,
  axis: AxisId,
  handled: HandledWish,
  gesture: string | null = null,
): string | null {
  return workbench.edit(wishWords(axis, handled), (b) => withWish(b, axis, handled), gesture);
}

export function setBatch(
  workbench: Workbench,
  name: string,
  change: Partial<Batch>,
): string | null {
  return workbench.edit(name, (b) => ({ ...b, batch: { ...b.batch, ...change } }));
}

export function setLimits(
  workbench: Workbench,
  name: string,
  change: Partial<Limits>,
): string | null {
  return workbench.edit(name, (b) => ({ ...b, limits: { ...b.limits, ...change } }));
}

/** The middle is what holds without a word, so it leaves none in the brief. */
export function setThresholds(workbench: Workbench, school: SchoolId): string | null {
  return workbench.edit('change odour thresholds', ({ thresholds: _, ...brief }) =>
    school === 'middle' ? brief : { ...brief, thresholds: school },
  );
}

/** What tasters report counts without a word, so only leaving it out stands in the brief. */
export function setCompoundsOnly(workbench: Workbench, only: boolean): string | null {
  return workbench.edit('change what aroma is worked out from', ({ compounds_only: _, ...brief }) =>
    only ? { ...brief, compounds_only: true } : brief,
  );
}

const without = (names: readonly string[], hop: string) => names.filter((n) => n !== hop);

export function ban(workbench: Workbench, hop: string): string | null {
  return workbench.edit(`ban ${hop}`, (b) => ({
    ...b,
    limits: {
      ...b.limits,
      ban: [...without(b.limits.ban, hop), hop],
      require: without(b.limits.require, hop),
    },
  }));
}

export function requireHop(workbench: Workbench, hop: string): string | null {
  return workbench.edit(`require ${hop}`, (b) => ({
    ...b,
    limits: {
      ...b.limits,
      require: [...without(b.limits.require, hop), hop],
      ban: without(b.limits.ban, hop),
    },
  }));
}

/** Takes a hop off both lists. */
export function allow(workbench: Workbench, hop: string): string | null {
  return workbench.edit(`allow ${hop}`, (b) => ({
    ...b,
    limits: {
      ...b.limits,
      ban: without(b.limits.ban, hop),
      require: without(b.limits.require, hop),
    },
  }));
}

export function setCandidates(
  workbench: Workbench,
  name: string,
  candidates: 'table' | readonly Candidate[],
): string | null {
  const taken = candidates === 'table' ? candidates : [...candidates];
  return workbench.edit(name, (b) => ({ ...b, candidates: taken }));
}

/**
 * Takes the lots of the stock that are not used up as candidates, each with its age today.
 * @returns what kept them from being taken.
 */
export async function useStock(
  workbench: Workbench,
  { document: { lots }, knowledge }: Workspace,
): Promise<string | null> {
  if (lots.every((lot) => lot.out_of_stock)) {
    return 'No lot of the stock is left. Add lots on the stock page, or mark some as there.';
  }
  const { dayOf, stockModel } = await import('#state/stock/stock-model.ts');
  const candidates = stockModel(knowledge.own).candidatesToday(lots, dayOf(new Date()));
  return setCandidates(workbench, 'use the stock', candidates);
}

/** Takes a limit out that could only be dropped, by its path as the optimizer names it. */
export function dropLimit(workbench: Workbench, path: string): string | null {
  const { limits } = workbench.brief;
  const of = wishSubject(path);
  if (of?.kind === 'listed') return allow(workbench, limits[of.list][of.at]!);
  if (of?.kind === 'stage') {
    // A stage has a usual most where none is stated, so the largest there is takes its place.
    const mosts = { ...limits.stage_at_most_g_per_l, [of.stage]: DOSE_G_PER_L_MAX };
    const left = { ...limits, stage_at_most_g_per_l: mosts };
    return workbench.edit(`drop ${wishName(path)}`, (b) => ({ ...b, limits: left }));
  }
  if (of?.kind === 'stage_forms') {
    const left = withStageForms(limits, of.stage, undefined);
    return setLimits(workbench, `drop ${wishName(path)}`, { stage_forms: left });
  }
  if (of?.kind === 'forms')
    return setLimits(workbench, `drop ${wishName(path)}`, { forms: undefined });
  if (of?.kind !== 'limit') return null;
  const left = Object.fromEntries(Object.entries(limits).filter(([k]) => k !== of.limit)) as Limits;
  return workbench.edit(`drop ${wishName(path)}`, (b) => ({ ...b, limits: left }));
}
