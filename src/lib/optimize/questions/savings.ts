// What can be saved on a schedule without anybody noticing: the cheapest and the lightest blend of its
// own lots and others on offer that keep every axis within a just noticeable difference, exactly, and
// the bitterness near. The search is the design's own; only the wishes are cut from the schedule.
import type { Blend } from '#shared/answers/answer.ts';
import type { Saving, SavingGoal, SavingsAnswer } from '#shared/answers/comparison.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { Save } from '#shared/schemas/asked.ts';
import type { Brief, Minimise } from '#shared/schemas/brief.ts';
import type { Candidate } from '#shared/schemas/lot.ts';
import { FORMS } from '#shared/ids.ts';
import { given } from '#shared/given.ts';
import { nameKey } from '#shared/name-key.ts';
import { STAGE_LIMITS, usualStageLimits } from '#shared/schemas/stage-limits.ts';
import { spokenStage } from '#shared/stages/kinds.ts';
import { FORM_NAMES } from '#shared/words.ts';
import { lotKey } from '#engine/predict/design.ts';
import { defaultValues, modelFor, type Model } from '#engine/tables/model.ts';
import { predicting } from '#engine/answer/answer.ts';
import type { Sampling } from '#engine/doubt/sampling.ts';
import { IBU_ROOM, IBU_SHARE, ibuWindow } from '#optimize/problem/ibu-window.ts';
import { varietyKey } from '#optimize/problem/candidates.ts';
import { chancing } from '#optimize/problem/chance.ts';
import { mostForms } from '#optimize/problem/limit-checks.ts';
import { judged } from '#optimize/problem/check.ts';
import { heldAt } from '#optimize/problem/usual-doses.ts';
import { STOPPED_READING } from '#optimize/problem/stating.ts';
import type { DesignProgress } from './options.ts';
import { NOTHING_FOUND } from './best-blend.ts';
import { designing } from './design.ts';
import { loosening } from './loosening.ts';
import {
  axisChanges,
  briefAround,
  profileOf,
  totalsChange,
  unnoticed,
  type Profile,
} from '#optimize/problem/profile.ts';
import {
  Clock,
  listening,
  LOTS_AT_ONCE,
  relayed,
  type Resting,
  type Run,
  type Timing,
} from '#optimize/pacing/clock.ts';

export interface SavingOptions extends Timing {
  readonly band?: Sampling;
}

export interface SavingProgress extends DesignProgress {
  readonly minimise: Minimise;
}

/** The schedule's own lots, then others: a listed lot that differs in nothing but its price is the same. */
function* candidatesOf(model: Model, save: Save): Resting<Candidate[]> {
  const listed: Candidate[] =
    save.candidates === 'table'
      ? model.hops
          .filter((h) => h.missing.length === 0)
          .flatMap((h) => h.forms.map((form) => ({ hop: h.name, form })))
      : [...(save.candidates ?? [])];
  const known = ({ hop, form, analysis, storage }: Candidate) =>
    `${varietyKey(model, hop)}|${lotKey({ hop: '', form, analysis, storage })}`;
  // Only a lot of a hop in the schedule can be one of it: of a long list few keys need be made.
  const hops = new Set(save.additions.map(({ hop }) => varietyKey(model, hop)));
  const isOfThose = ({ hop }: Candidate) => hops.has(varietyKey(model, hop));
  const seen = new Set<string>();
  for (const [i, candidate] of (save.candidates === 'table' ? [] : listed).entries()) {
    if (i % LOTS_AT_ONCE === 0) yield;
    if (isOfThose(candidate)) seen.add(known(candidate));
  }
  const own: Candidate[] = [];
  for (const { hop, form, price_per_kg, package_g, analysis, storage, grams } of save.additions) {
    const candidate = given({ hop, form, price_per_kg, package_g, analysis, storage });
    if (grams === 0 || seen.has(known(candidate))) continue;
    seen.add(known(candidate));
    own.push(candidate);
  }
  const isOwn = new Set(own.map(known));
  const others = (c: Candidate) => !isOfThose(c) || !isOwn.has(known(c));
  return [...own, ...(save.candidates === 'table' ? listed.filter(others) : listed)];
}

/** Money counts as saved to this part of the cost before. */
const ROUNDING = 1e-9;

/** What is minimised: grams, or money with the beer that the hops hold back at its price. */
function figureOf(
  minimise: Minimise,
  { totals }: Pick<Blend, 'totals'>,
  { beer_price_per_l: beer = 0 }: Save,
): number | null {
  if (minimise !== 'cost') return totals.hop_g;
  return totals.cost === null ? null : totals.cost + beer * totals.beer_lost_l;
}

interface SavingJob {
  readonly model: Model;
  readonly clock: Clock;
  readonly save: Save;
  readonly profile: Profile;
  readonly original: Blend;
  readonly jnd: number;
  readonly options: SavingOptions;
}

function savingOf(
  job: SavingJob,
  minimised: Minimise,
  blend: Blend,
  proof: Saving['proof'],
): Saving {
  const { model, profile, jnd } = job;
  return {
    ...blend,
    minimised,
    unchanged: blend === job.original,
    changes: axisChanges(model, profile, blend, jnd),
    totals_change: totalsChange(profile.totals, blend.totals),
    proof,
  };
}

/** Share of the time below which the lightest blend is not begun with: to read a long list takes time too. */
const LEAST_SHARE = 0.2;

/** The time for one of so many searches still to come, ms. */
function shareOf({ deadline, now }: Clock, left: number): number {
  return Math.max(0, deadline - now()) / left;
}

/** How the goal stands with the cheapest blend, and where it is missed what would reach it. */
function* towardsGoal(
  { model, clock, save, original }: SavingJob,
  share: number,
  brief: Brief,
  cheapest: Saving,
): Run<SavingProgress, SavingGoal | null> {
  const before = figureOf('cost', original, save);
  const cost = figureOf('cost', cheapest, save);
  if (before === null || cost === null || before === 0) return null;
  const most = before * (1 - share);
  const saved = 1 - cost / before;
  const goal = { share, cost_at_most: most, saved, loosenings: [], untried: 0 };
  if (cost <= most + ROUNDING * before) return { ...goal, reached: true };
  const progress = (): SavingProgress => ({
    best: cheapest.additions,
    objective: cost,
    lower_bound: cheapest.proof.lower_bound,
    gap: cheapest.proof.gap,
    milliseconds: clock.milliseconds,
    settled: 0,
    minimise: 'cost',
  });
  const { beer_price_per_l: beerPricePerL = 0 } = save;
  // The lightest blend comes after it.
  const until = clock.now() + shareOf(clock, 2);
  const context = { clock, until, progress, beerPricePerL };
  const found = yield* loosening(model, brief, most, context);
  return { ...goal, reached: false, ...found };
}

/** A saving, and the lots that took no part in the search for it. */
interface FoundSaving {
  readonly saving: Saving;
  readonly leftOut: SavingsAnswer['why']['left_out'];
}

/**
 * Least of one figure; the schedule itself where nothing better is found.
 * @param left searches that share the time still left, this one among them.
 */
function* least(
  job: SavingJob,
  brief: Brief,
  left: number,
  notes: string[],
): Run<SavingProgress, Outcome<FoundSaving>> {
  const { minimise } = brief;
  const { clock } = job;
  const started = clock.milliseconds;
  const search = designing(job.model, brief, {
    ...(job.options.band && { band: job.options.band }),
    // The windows are what the person said goes unnoticed, and may be as narrow as nothing.
    exactWindows: true,
    ...(minimise === 'cost' && { beerPricePerL: job.save.beer_price_per_l ?? 0 }),
    timeLimitMs: shareOf(clock, left),
    now: clock.now,
  });
  const outcome = yield* relayed(clock, search, (snapshot) => ({ ...snapshot, minimise }));
  if (!outcome.ok) return outcome;
  const { status, lower_bound, gap, blends, why } = outcome.value;
  const leftOut = why.left_out;
  const found = figureOf(minimise, blends[0]!, job.save);
  const before = figureOf(minimise, job.original, job.save);
  const better = status !== 'closest' && (before === null || (found !== null && found < before));
  if (better) {
    const saving = savingOf(job, minimise, blends[0]!, { status, lower_bound, gap });
    return success({ saving, leftOut });
  }
  const word = minimise === 'cost' ? 'cheaper' : 'lighter';
  const spent = `${((clock.milliseconds - started) / 1000).toFixed(1)} s`;
  notes.push(
    status === 'closest'
      ? `No ${word} blend that keeps every limit was found in ${spent}`
      : `No ${word} blend goes unnoticed: the schedule stays as it is`,
  );
  const bound = status === 'closest' ? 0 : Math.min(lower_bound, before ?? lower_bound);
  const room = before ? (before - bound) / before : 0;
  const proof = {
    status: status === 'optimal' ? ('optimal' as const) : ('within_gap' as const),
    lower_bound: bound,
    gap: room,
  };
  return success({ saving: savingOf(job, minimise, job.original, proof), leftOut });
}

/**
 * The cheapest and the lightest blend in place of a schedule. Every axis the schedule reaches at 0.5
 * or more keeps its signal within the just noticeable difference, the others stay unnoticed; the
 * bitterness stays within 10 % or 2 IBU unless limits say otherwise. Yields the design's snapshots;
 * send 'stop' to end with what is found. Fails where the schedule cannot be predicted or the limits
 * clash; the cheapest is left out, with a note, where prices are missing.
 */
export function* saving(
  base: Model,
  save: Save,
  options: SavingOptions = {},
): Run<SavingProgress, Outcome<SavingsAnswer>> {
  const model = modelFor(base, save);
  const clock = new Clock(options.timeLimitMs, options.now);
  const profiled = profileOf(model, save);
  if (!profiled.ok) return profiled;
  const profile = profiled.value;
  const jnd = save.just_noticeable ?? defaultValues(model)['aroma.jnd'];
  const window = ibuWindow(profile);
  const used = profile.design.additions.filter((a) => a.grams > 0);
  // Where nothing is said of it, no stage gets a form or a dose that is neither usual there nor in the schedule.
  const usual = usualStageLimits(save);
  for (const limit of STAGE_LIMITS) if (save.limits[limit]) delete usual[limit];
  const limits = {
    ...save.limits,
    ...usual,
    // A hop that the schedule has in two forms may stay in both.
    forms_per_hop_at_most: save.limits.forms_per_hop_at_most ?? Math.max(1, mostForms(used)),
    ibu_at_least:
      save.limits.ibu_at_least ?? Math.min(window.atLeast, save.limits.ibu_at_most ?? Infinity),
    ibu_at_most: save.limits.ibu_at_most ?? Math.max(window.atMost, save.limits.ibu_at_least ?? 0),
  };
  const reading = (): SavingProgress => ({
    ...NOTHING_FOUND,
    minimise: 'cost',
    milliseconds: clock.milliseconds,
  });
  const prediction = yield* listening(
    clock,
    predicting(model, profile.design, options.band),
    reading,
  );
  if (!prediction) return failure(STOPPED_READING);
  const asked = briefAround(
    model,
    save,
    { target: {}, minimise: 'weight', candidates: [] },
    save.limits,
  );
  const made = { documents: save.additions, lots: used, chosen: used };
  const { worst_miss, misses } = judged(model, asked, made, prediction);
  const chance = yield* listening(
    clock,
    chancing(model, asked, profile.design, options.band),
    reading,
  );
  if (!chance) return failure(STOPPED_READING);
  const original: Blend = {
    ...prediction,
    ...chance,
    additions: save.additions,
    worst_miss,
    misses,
  };
  const job: SavingJob = { model, clock, save, profile, original, jnd, options };
  const notes = [
    `Bitterness kept between ${limits.ibu_at_least.toFixed(1)} and ${limits.ibu_at_most.toFixed(1)} IBU (the wider of ${IBU_SHARE * 100} % and ${IBU_ROOM} IBU, unless limits say otherwise)`,
  ];
  for (const [key, forms] of Object.entries(usual.stage_forms ?? {})) {
    if (forms.length === FORMS.length) continue;
    const names = forms.map((form) => FORM_NAMES[form]).join(' and ');
    notes.push(
      `Into the ${spokenStage(key)} goes no form but ${names}, unless limits.stage_forms says otherwise`,
    );
  }
  for (const [key, most] of Object.entries(usual.stage_at_most_g_per_l ?? {}))
    notes.push(heldAt(key, most));
  const candidates = yield* listening(clock, candidatesOf(model, save), reading);
  if (!candidates) return failure(STOPPED_READING);
  const leftOut = new Map<string, SavingsAnswer['why']['left_out'][number]>();
  const blends: Saving[] = [];
  let goal: SavingGoal | null = null;
  const searches = save.save_at_least === undefined ? 2 : 3;
  for (const minimise of ['cost', 'weight'] as const) {
    if (minimise === 'cost' && original.totals.cost === null) {
      const unpriced = save.additions.filter((a) => a.grams > 0 && a.price_per_kg === undefined);
      const names = [...new Set(unpriced.map((a) => a.hop))].join(', ');
      notes.push(`The cheapest blend was not searched for: no price_per_kg for ${names}`);
      continue;
    }
    const target = unnoticed(model, profile, jnd);
    const brief = briefAround(model, save, { target, minimise, candidates }, limits);
    const isLast = blends.length > 0;
    const isLate = clock.over || shareOf(clock, 1) < LEAST_SHARE * (clock.deadline - clock.started);
    const found: Outcome<FoundSaving> =
      isLast && isLate
        ? failure(STOPPED_READING)
        : yield* least(job, brief, minimise === 'cost' ? searches : 1, notes);
    if (!found.ok && isLast && (isLate || clock.over)) {
      notes.push('The search ended before the lightest blend was searched for');
      break;
    }
    if (!found.ok) return found;
    for (const l of found.value.leftOut) leftOut.set(`${nameKey(l.hop)} ${l.reason}`, l);
    const { saving } = found.value;
    blends.push(saving);
    if (minimise === 'cost' && save.save_at_least !== undefined) {
      goal = yield* towardsGoal(job, save.save_at_least, brief, saving);
    }
  }
  return success({
    milliseconds: clock.milliseconds,
    original: { additions: save.additions, totals: profile.totals, axes: profile.intensities },
    jnd,
    beer_price_per_l: save.beer_price_per_l ?? null,
    ibu_between: [limits.ibu_at_least, limits.ibu_at_most],
    goal,
    blends,
    why: { left_out: [...leftOut.values()], notes },
  });
}
