// Puts one limit after another on a brief, each drawn so tight that the best blend without it breaks it.
import { STAGE_KINDS } from '#shared/stages/kinds.ts';
import type { Blend } from '#shared/answers/answer.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition, Candidate } from '#shared/schemas/lot.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { between } from './instances.ts';

/** A quarter of an ounce, g. */
export const QUARTER_OUNCE = 7.087380775;

/** What changes of a brief, given the best blend without the change. */
export type Change = (brief: Brief, best: Blend, seed: number) => Partial<Brief>;

function limiting(brief: Brief, limits: Partial<Brief['limits']>): Partial<Brief> {
  return { limits: { ...brief.limits, ...limits } };
}

/** Grams of each hop of a blend, the heaviest first. */
function heaviest({ additions }: { additions: readonly Addition[] }): [string, number][] {
  const grams = new Map<string, number>();
  for (const a of additions) grams.set(a.hop, (grams.get(a.hop) ?? 0) + a.grams);
  return [...grams].sort((a, b) => b[1] - a[1]);
}

function keeping(brief: Brief, seed: number): Addition[] {
  const random = randomFrom(seed / 1e5);
  const lots = brief.candidates as Candidate[];
  const stages = STAGE_KINDS.filter((s) => brief.stages[s]);
  return Array.from({ length: 1 + (seed % 3) }, (_, i) => {
    const { hop, form, analysis, price_per_kg } = lots[(seed + 2 * i) % lots.length]!;
    const stage = stages[(seed + i) % stages.length]!;
    return { hop, form, stage, grams: between(random, 3, 30), analysis, price_per_kg };
  });
}

export const CHANGES: Readonly<Record<string, Change>> = {
  'IBU window': (brief, { totals: { ibu } }, seed) =>
    limiting(
      brief,
      seed % 2 ? { ibu_at_most: ibu * 0.8 } : { ibu_at_least: ibu + 4, ibu_at_most: ibu + 9 },
    ),
  'number of hops': (brief, best) =>
    limiting(brief, { hops_at_most: Math.max(1, heaviest(best).length - 1) }),
  'number of additions': (brief, { additions }) =>
    limiting(brief, { additions_at_most: Math.max(1, additions.length - 1) }),
  'forms to use': (brief, { additions }) => {
    const forms = [...new Set((brief.candidates as Candidate[]).map((c) => c.form))];
    const others = forms.filter((f) => f !== additions[0]!.form);
    return limiting(brief, { forms: others.length > 0 ? others : forms });
  },
  'forms by stage': (brief, { additions }) => {
    const forms = [...new Set((brief.candidates as Candidate[]).map((c) => c.form))];
    const taken = [...new Set(additions.map((a) => a.stage))].map((stage) => {
      const { form } = additions.find((a) => a.stage === stage)!;
      const others = forms.filter((f) => f !== form);
      return [stage, others.length > 0 ? others : [form]] as const;
    });
    return limiting(brief, { stage_forms: Object.fromEntries(taken) });
  },
  'forms of one hop': (brief, _, seed) =>
    limiting(brief, { forms_per_hop_at_most: 1 + (seed % 3), additions_at_most: 3 + (seed % 2) }),
  'smallest addition': (brief, { additions }) =>
    limiting(brief, { smallest_addition_g: 1.3 * Math.min(...additions.map((a) => a.grams)) }),
  'steps of 1 g, 5 g or a quarter ounce': (brief, _, seed) =>
    limiting(brief, {
      weigh_step_g: [1, 5, QUARTER_OUNCE][seed % 3]!,
      smallest_addition_g: [0, 12, 10][(seed + 1) % 3]!,
    }),
  'stock on hand': (brief, best, seed) => ({
    candidates: (brief.candidates as Candidate[]).map((c) => {
      const own = best.additions.filter((a) => a.hop === c.hop && a.form === c.form);
      const grams = own.reduce((sum, a) => sum + a.grams, 0);
      return grams > 0 ? { ...c, grams_on_hand: grams * (seed % 2 ? 0.7 : 0.4) } : c;
    }),
  }),
  'leaf after the mash': (brief, { totals: { leaf_g_per_l } }) =>
    limiting(brief, { leaf_g_per_l_after_mash_at_most: leaf_g_per_l * 0.93 }),
  'stage maxima': (brief, { additions }, seed) => {
    const { stage } = additions[seed % additions.length]!;
    const grams = additions.reduce((sum, a) => sum + (a.stage === stage ? a.grams : 0), 0);
    const most = ((seed % 2 ? 0.8 : 0.5) * grams) / brief.batch.beer_l;
    return limiting(brief, { stage_at_most_g_per_l: { [stage]: most } });
  },
  budget: (brief, { totals: { cost } }) => limiting(brief, { cost_at_most: cost! * 0.93 }),
  'kept additions': (brief, _, seed) => ({ keep: keeping(brief, seed) }),
  'kept additions, all limits': (brief, { totals }, seed) => ({
    keep: keeping(brief, seed),
    ...limiting(brief, {
      ibu_at_most: totals.ibu * 1.1,
      ibu_at_least: totals.ibu * 0.5,
      leaf_g_per_l_after_mash_at_most: totals.leaf_g_per_l * 1.2 + 1,
      cost_at_most: totals.cost! * 1.3 + 1,
    }),
  }),
  bans: (brief, best) => limiting(brief, { ban: [heaviest(best)[0]![0]] }),
  requirements: (brief, best, seed) => {
    const used = heaviest(best).map(([hop]) => hop);
    const lots = brief.candidates as Candidate[];
    const others = [...new Set(lots.map((c) => c.hop))].filter((hop) => !used.includes(hop));
    return limiting(brief, { require: others.slice(0, 1 + (seed % 2)) });
  },
  'share of each hop': (brief, best) => {
    const [[, most]] = heaviest(best) as [[string, number]];
    return limiting(brief, { share_at_most: Math.max(0.3, (0.85 * most) / best.totals.hop_g) });
  },
  'share of each hop, some kept': (brief, best, seed) => {
    const [[, most]] = heaviest(best) as [[string, number]];
    const share_at_most = Math.max(0.3, (0.9 * most) / best.totals.hop_g);
    return { keep: keeping(brief, seed), ...limiting(brief, { share_at_most }) };
  },
};
