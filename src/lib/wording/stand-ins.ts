// Blends shown in place of the designed one, with the words that say what each of them is and what is
// proven of it. The way back is the workbench's.
import type { Blend, Hold, Proof } from '#shared/answers/answer.ts';
import type { TradeoffPoint } from '#shared/answers/comparison.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import type { Evidence } from '#engine/evidence/evidence.ts';
import type { StandIn } from '#state/workbench/stand-in.ts';
import { decimals, hopMass, listed, money, percent, quantity } from './format.ts';
import { LEADS_OF } from './headline.ts';

/** "48 g, 2.4 g/L", the money first where the brief counts that. */
export function blendWords({ totals }: Blend, { minimise }: Brief, units: UnitSystem): string {
  const { hop_g: grams, hop_g_per_l: dose, cost } = totals;
  const weight = `${hopMass(grams, units)}, ${quantity(dose, 'dose', units)}`;
  return minimise === 'cost' && cost !== null ? `${money(cost)}, ${weight}` : weight;
}

/** The hops of a blend, the heaviest first. */
export function hopsOf({ additions }: Pick<Blend, 'additions'>): string[] {
  const grams = new Map<string, number>();
  for (const a of additions) grams.set(a.hop, (grams.get(a.hop) ?? 0) + a.grams);
  return [...grams]
    .filter(([, g]) => g > 0)
    .sort((a, b) => b[1] - a[1])
    .map(([hop]) => hop);
}

/** "without Citra and Simcoe": of each blend above the heaviest hop that this one does without. */
export function withoutWords(blend: Blend, above: readonly Blend[]): string {
  const own = hopsOf(blend);
  const missing = above.flatMap((other) => hopsOf(other).find((hop) => !own.includes(hop)) ?? []);
  return missing.length > 0 ? `without ${listed([...new Set(missing)])}` : '';
}

/** What is proven of a further blend, short. */
export function rankProof({ status, gap }: Proof, { worst_miss: miss }: Blend): string {
  if (status === 'closest') return `misses by up to ${decimals(miss, 1)}`;
  return status === 'optimal' ? 'proven best of its kind' : `within ${percent(gap)} of the best`;
}

/** A further blend of the same brief. */
export function alternativeStandIn(
  blend: Blend,
  evidence: Evidence,
  brief: Brief,
  units: UnitSystem,
): StandIn {
  const proof = blend.proof!;
  const word = LEADS_OF[brief.minimise];
  const note =
    proof.status === 'closest'
      ? `Misses by up to ${decimals(blend.worst_miss, 1)}.`
      : proof.status === 'optimal'
        ? `Proven: the ${word} blend without the main hop of each blend above it.`
        : `Within ${percent(proof.gap)} of the ${word} blend without the main hop of each blend above it.`;
  const title = `With ${listed(hopsOf(blend))}: ${blendWords(blend, brief, units)}`;
  return { blend, evidence, title, note, designed: proof.status !== 'closest' };
}

/** In how many lots a blend holds, as said of it. */
export function holdWords({ share, scenarios, fresh }: Hold): string {
  return `Meets every wish in ${percent(fresh.share)} of ${fresh.scenarios} drawn lots; in ${percent(share)} of the ${scenarios} drawn to choose it.`;
}

/** The blend that holds in a share of lots. */
export function holdStandIn(
  blend: Blend,
  evidence: Evidence,
  hold: Hold,
  brief: Brief,
  units: UnitSystem,
): StandIn {
  const title = `Holds in ${percent(hold.fresh.share)} of lots: ${blendWords(blend, brief, units)}`;
  return { blend, evidence, title, note: holdWords(hold), designed: false };
}

/** "30 g with every wish widened by 0.3", "61 g for 5.20". */
export function pointWords(
  { hop_g: grams, cost, slack }: Pick<TradeoffPoint, 'hop_g' | 'cost' | 'slack'>,
  against: 'closeness' | 'cost',
  units: UnitSystem,
): string {
  const weight = hopMass(grams, units);
  if (against === 'cost') return `${weight} for ${cost === null ? 'no known price' : money(cost)}`;
  if (slack < 5e-4) return `${weight} with every wish as stated`;
  return `${weight} with every wish widened by ${decimals(slack, 2)}`;
}

/** A point of a trade-off curve. */
export function pointStandIn(
  point: TradeoffPoint & { readonly evidence: Evidence },
  against: 'closeness' | 'cost',
  units: UnitSystem,
): StandIn {
  const { blend, evidence, proof } = point;
  const best = against === 'cost' ? 'cheaper at this weight' : 'lighter with these wishes';
  const note =
    proof.status === 'optimal'
      ? `Proven: no blend is ${best}.`
      : `A blend up to ${percent(proof.gap)} ${best} is not ruled out.`;
  const words = pointWords(point, against, units);
  return { blend, evidence, title: `Blend of ${words}`, note, designed: false };
}
