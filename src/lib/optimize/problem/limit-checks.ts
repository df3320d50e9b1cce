// Judges every limit a brief can set by the engine's figures alone, each in its own unit. Blends by hand are
// judged by nothing else.
import { rollup } from 'd3';
import { wishPath, type WishSubject } from '#shared/answers/wish-subject.ts';
import type { Miss } from '#shared/answers/answer.ts';
import type { Totals } from '#shared/answers/prediction.ts';
import { FORMS, type FormId } from '#shared/ids.ts';
import { nameKey } from '#shared/name-key.ts';
import type { Brief, LimitFigure, Limits } from '#shared/schemas/brief.ts';
import { stageForms, stageMost } from '#shared/schemas/stage-limits.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { Grams } from '#shared/units.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { LotAddition } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { varietyKey } from './candidates.ts';

/** What limits are judged by: the engine's figures of a blend and its additions. */
export interface JudgedBlend {
  /** All additions, and those that are not kept ones. */
  readonly lots: readonly LotAddition[];
  readonly chosen: readonly LotAddition[];
  readonly model: Model;
  readonly brief: Brief;
  readonly totals: Totals;
  /** A relative miss up to this counts as rounding. */
  readonly rounding: number;
}

/** Every limit a brief can set, and the stock of its lots. */
type Limited = keyof Limits | 'grams_on_hand';

function atMost(
  { rounding }: JudgedBlend,
  of: WishSubject,
  asked: number | undefined,
  got: number,
): Miss[] {
  const broken = asked !== undefined && got > asked * (1 + rounding) + 1e-9;
  return broken ? [{ wish: wishPath(of), asked, got, by: got - asked }] : [];
}

function atLeast(
  { rounding }: JudgedBlend,
  of: WishSubject,
  asked: number | undefined,
  got: number,
): Miss[] {
  const broken = asked !== undefined && got < asked * (1 - rounding) - 1e-9;
  return broken ? [{ wish: wishPath(of), asked, got, by: asked - got }] : [];
}

/** The limit itself, where it is one figure. */
const figure = (limit: LimitFigure): WishSubject => ({ kind: 'limit', limit });

function gramsOver(lots: readonly LotAddition[], isIn: (addition: LotAddition) => boolean): Grams {
  return lots.reduce((sum, a) => sum + (isIn(a) ? a.grams : 0), 0);
}

function hopsOf(additions: readonly LotAddition[]): Set<string> {
  return new Set(additions.map((a) => nameKey(a.lot.hop)));
}

/** Additions in other forms than those asked for. */
function otherForms(
  of: WishSubject,
  additions: readonly LotAddition[],
  forms: readonly FormId[] = FORMS,
): Miss[] {
  const got = additions.filter((a) => !forms.includes(a.lot.form)).length;
  return got > 0 ? [{ wish: wishPath(of), asked: 0, got, by: got }] : [];
}

/** Forms of the hop that comes in most. */
export function mostForms(additions: readonly LotAddition[]): number {
  const forms = rollup(
    additions,
    (own) => new Set(own.map((a) => a.lot.form)).size,
    (a) => nameKey(a.lot.hop),
  );
  return Math.max(0, ...forms.values());
}

/** Additions, those of one lot at one stage counted once. */
function linesOf(additions: readonly LotAddition[]): number {
  const stages = new Map<Lot, Set<string>>();
  for (const { lot, stage } of additions) {
    const own = stages.get(lot);
    if (own) own.add(stage);
    else stages.set(lot, new Set([stage]));
  }
  return [...stages.values()].reduce((sum, own) => sum + own.size, 0);
}

/** How each limit is judged; a limit that is not here does not compile. */
const LIMITS: Readonly<Record<Limited, (judged: JudgedBlend) => Miss[]>> = {
  ibu_at_most: (j) => atMost(j, figure('ibu_at_most'), j.brief.limits.ibu_at_most, j.totals.ibu),
  ibu_at_least: (j) =>
    atLeast(j, figure('ibu_at_least'), j.brief.limits.ibu_at_least, j.totals.ibu),
  hops_at_most: (j) =>
    atMost(j, figure('hops_at_most'), j.brief.limits.hops_at_most, hopsOf(j.chosen).size),
  forms: ({ brief: { limits }, chosen }) => otherForms({ kind: 'forms' }, chosen, limits.forms),
  stage_forms: ({ brief: { limits, stages }, chosen }) =>
    stagesOf(stages).flatMap(({ key: stage }) => {
      const there = chosen.filter((a) => a.stage === stage);
      return otherForms({ kind: 'stage_forms', stage }, there, stageForms(limits, stage));
    }),
  // Judged only where the brief states it: the default of the search does not bind blends by hand.
  forms_per_hop_at_most: (j) => {
    const asked = j.brief.limits.forms_per_hop_at_most;
    return atMost(j, figure('forms_per_hop_at_most'), asked, mostForms(j.chosen));
  },
  additions_at_most: (j) =>
    atMost(j, figure('additions_at_most'), j.brief.limits.additions_at_most, linesOf(j.chosen)),
  leaf_g_per_l_after_mash_at_most: (j) => {
    const most = j.brief.limits.leaf_g_per_l_after_mash_at_most;
    return atMost(j, figure('leaf_g_per_l_after_mash_at_most'), most, j.totals.leaf_g_per_l);
  },
  cost_at_most: (j) => {
    const { cost } = j.totals;
    return cost === null
      ? []
      : atMost(j, figure('cost_at_most'), j.brief.limits.cost_at_most, cost);
  },
  stage_at_most_g_per_l: (j) =>
    stagesOf(j.brief.stages).flatMap(({ key }) => {
      const dose = gramsOver(j.lots, (a) => a.stage === key) / j.brief.batch.beer_l;
      return atMost(j, { kind: 'stage', stage: key }, stageMost(j.brief.limits, key), dose);
    }),
  share_at_most: (j) => {
    const total = gramsOver(j.lots, () => true);
    const shares = new Map<string, number>();
    for (const { lot, grams } of j.lots) {
      const key = nameKey(lot.hop);
      shares.set(key, (shares.get(key) ?? 0) + grams / total);
    }
    const largest = Math.max(0, ...shares.values());
    return atMost(j, figure('share_at_most'), j.brief.limits.share_at_most, largest);
  },
  smallest_addition_g: (j) => {
    const smallest = Math.min(...j.chosen.map((a) => a.grams));
    const least = j.brief.limits.smallest_addition_g;
    return atLeast(j, figure('smallest_addition_g'), least, smallest);
  },
  grams_on_hand: (j) =>
    [...new Set(j.lots.map((a) => a.lot))].flatMap((lot) => {
      const grams = gramsOver(j.lots, (a) => a.lot === lot);
      return atMost(j, { kind: 'stock', hop: lot.hop }, lot.gramsOnHand ?? undefined, grams);
    }),
  ban: ({ model, brief, chosen }) => {
    const hops = hopsOf(chosen);
    return brief.limits.ban.flatMap((name, i) =>
      hops.has(varietyKey(model, name))
        ? [{ wish: wishPath({ kind: 'listed', list: 'ban', at: i }), asked: 0, got: 1, by: 1 }]
        : [],
    );
  },
  require: ({ model, brief, lots }) => {
    const used = hopsOf(lots);
    return brief.limits.require.flatMap((name) =>
      used.has(varietyKey(model, name))
        ? []
        : [{ wish: wishPath({ kind: 'required', hop: name }), asked: 1, got: 0, by: 1 }],
    );
  },
  // Counted over drawn lots, and said beside the blend: see chance.ts.
  holds_in_lots_at_least: () => [],
  // The weighing step binds the search; of a blend weighed by hand it says nothing.
  weigh_step_g: () => [],
};

/** Limits that give way together with the wishes. */
const GIVING_WAY: readonly Limited[] = ['ibu_at_most', 'ibu_at_least'];

/** The limits a blend misses: the bitterness window, and those that must hold in any case. */
export function limitMisses(judged: JudgedBlend): { bitterness: Miss[]; broken: Miss[] } {
  const all = Object.keys(LIMITS) as Limited[];
  const missed = (limits: readonly Limited[]) => limits.flatMap((limit) => LIMITS[limit](judged));
  return {
    bitterness: missed(GIVING_WAY),
    broken: missed(all.filter((limit) => !GIVING_WAY.includes(limit))),
  };
}
