// The answer in one line, and how far it is proven in another. Says "closest" and by how much it
// misses when the wishes cannot be met; never says proven when it is not.
import { cite, type FigureFrom } from '#engine/evidence/figure-from.ts';
import type { Blend, DesignAnswer, PointBlend } from '#shared/answers/answer.ts';
import type { Brief, Minimise } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import type { LiveBlend } from '#optimize/live/live.ts';
import { takenReplacement } from '#state/workbench/taken.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import { unreached } from './chances.ts';
import { decimals, hopMass, listed, money, percent, quantity } from './format.ts';
import { missWords, SHOWN_MISS } from './wishes.ts';

/** Ids of provenance of what an answer is headed with. */
export function headedFrom({ brief }: Workbench): FigureFrom {
  const weight = cite('equation/hop_weight', 'equation/hop_weight/per_l');
  const from = {
    weight,
    cost: cite('equation/cost', weight),
    leaf: cite('equation/leaf', weight),
    closest: cite('search/distance', weight),
  };
  return cite(from[brief.minimise], 'search/miss');
}

export interface Headline {
  readonly lead: string;
  readonly proof: string;
}

/** What an answer, or the blend shown in its place, is headed with. */
export function headlineOf(workbench: Workbench, units: UnitSystem): Headline {
  const { live, brief, standIn, answer, blend, answeredBrief } = workbench;
  if (live) return liveHeadline(live, brief, units, workbench.moving);
  if (workbench.dose.point) return ownHeadline(workbench.dose.point, null, brief, units);
  if (workbench.foreign && !workbench.byHand) return awaitedHeadline(workbench);
  if (standIn) return { lead: `${standIn.title}.`, proof: standIn.note };
  if (workbench.byHand) {
    const proven = brief === answeredBrief ? workbench.designedBlend : null;
    const { point } = workbench.own;
    const taken = takenReplacement(workbench);
    if (point && taken?.blend.unnoticed) return unnoticedHeadline(taken.hop, point, brief, units);
    if (point && workbench.own.replanned?.unnoticed && point.misses.length > 0)
      return replannedHeadline(point, brief, units);
    return ownHeadline(point, workbench.liveBeside ?? proven, brief, units);
  }
  return headline(answer, blend, answeredBrief, units);
}

/** Of a design just opened: what is shown until its blend is found is not its own. */
function awaitedHeadline({ brief, searching }: Workbench): Headline {
  const name = brief.name.trim() || 'Untitled';
  return {
    lead: searching ? `Designing “${name}”…` : `No blend for “${name}” yet.`,
    proof: 'The pale blend belongs to the design that was open before.',
  };
}

/**
 * Of a blend made by hand: what it comes to or where it misses, and what was designed instead.
 * @param point `null` until it is predicted.
 * @param designed the proven blend, or the live one while a wish is dragged.
 */
export function ownHeadline(
  point: PointBlend | null,
  designed: Blend | LiveBlend | null,
  { minimise }: Brief,
  units: UnitSystem,
): Headline {
  if (!point) return { lead: 'Your blend.', proof: 'Predicting it…' };
  const met = point.misses.length === 0;
  const what = objectiveWords(point, minimise, units);
  const lead = met ? `Your blend: ${what}.` : `Your blend: ${missWords(point.misses, units)}.`;
  const own = met ? 'All wishes and limits hold.' : `It comes to ${what}.`;
  if (!designed) return { lead, proof: own };
  const other = objectiveWords(designed, minimise, units);
  if (!('same_hops' in designed))
    return { lead, proof: `${own} The designed blend comes to ${other}.` };
  const dosed = listed(designed.additions.map((a) => `${a.hop} ${hopMass(a.grams, units)}`));
  return {
    lead,
    proof: designed.meets
      ? `${own} Designed for these wishes: about ${other} (${dosed}).`
      : `${own} No blend meets these wishes: the closest ${missWords(designed.misses, units)}.`,
  };
}

/** Of a blend designed anew that misses wishes by less than anybody notices: it reads as the success it is. */
export function replannedHeadline(
  point: PointBlend,
  { minimise }: Brief,
  units: UnitSystem,
): Headline {
  return {
    lead: `Your blend: ${objectiveWords(point, minimise, units)}; what it misses is too little to notice.`,
    proof: `Strictly, it ${missWords(point.misses, units)}; to close that takes more hops than you allow.`,
  };
}

/** Of a replacement nobody can tell from what it replaces: that comes first, what it misses after. */
export function unnoticedHeadline(
  replaced: string,
  point: PointBlend,
  { minimise }: Brief,
  units: UnitSystem,
): Headline {
  const what = objectiveWords(point, minimise, units);
  const met = point.misses.length === 0;
  return {
    lead: `Your blend: ${replaced} replaced, and no note changes noticeably.`,
    proof: met
      ? `It comes to ${what}. All wishes and limits hold.`
      : `It comes to ${what} and ${missWords(point.misses, units)}.`,
  };
}

/** Of the blend that follows the hand, or did until just now: what it comes to, or by how much it misses. */
function liveHeadline(
  live: LiveBlend,
  { minimise }: Brief,
  units: UnitSystem,
  moving: boolean,
): Headline {
  const hops = live.same_hops ? 'with the same hops' : 'with other hops';
  const lead = live.meets
    ? `About ${objectiveWords(live, minimise, units)}, ${hops}.`
    : `Out of reach: ${missWords(live.misses, units)}.`;
  const over =
    live.hops_over > 0
      ? ` It uses ${live.hops_over} ${live.hops_over > 1 ? 'hops' : 'hop'} more than you allow.`
      : '';
  const then = moving ? ': the search starts when you let go' : '';
  return { lead, proof: `Not proven yet${then}.${over}` };
}

/** What a proven answer is headed with, and one that leaves open whether a better one exists. */
const LEADS: Readonly<Record<Minimise, readonly [proven: string, found: string]>> = {
  weight: ['Lightest blend', 'Lightest found'],
  cost: ['Cheapest blend', 'Cheapest found'],
  leaf: ['Least leaf', 'Least leaf found'],
  closest: ['Closest match', 'Closest found'],
};

/** The blend that is best, as an adjective. */
export const LEADS_OF: Readonly<Record<Minimise, string>> = {
  weight: 'lightest',
  cost: 'cheapest',
  leaf: 'least leafy',
  closest: 'closest',
};

const BETTER: Readonly<Record<Minimise, string>> = {
  weight: 'lighter',
  cost: 'cheaper',
  leaf: 'less leafy',
  closest: 'closer',
};

/** Gap up to which the search counts any blend as proven, whatever it is weighed in. */
const EXACT_GAP = 1e-3;
/** What is minimised, in its unit. */
export function objectiveFigure(value: number, minimise: Minimise, units: UnitSystem): string {
  if (minimise === 'weight') return hopMass(value, units);
  if (minimise === 'leaf') return quantity(value, 'dose', units);
  return minimise === 'cost' ? money(value) : `${decimals(value, 2)} off`;
}

function objectiveWords(blend: PointBlend, minimise: Minimise, units: UnitSystem): string {
  const { hop_g: weight, hop_g_per_l: dose, leaf_g_per_l: leaf, cost } = blend.totals;
  if (minimise === 'weight' || (minimise === 'cost' && cost === null))
    return `${hopMass(weight, units)}, ${quantity(dose, 'dose', units)}`;
  const value = minimise === 'cost' ? cost! : minimise === 'leaf' ? leaf : (blend.distance ?? 0);
  const most = minimise === 'closest' ? ' at most' : '';
  return `${objectiveFigure(value, minimise, units)}${most}, ${hopMass(weight, units)}`;
}

export function headline(
  answer: DesignAnswer,
  blend: Blend | null,
  brief: Brief,
  units: UnitSystem,
): Headline {
  if (!blend)
    return {
      lead: 'No blend.',
      proof: 'No addition of these hops at these stages can be weighed out.',
    };
  if (blend.additions.length === 0 && Object.keys(brief.target).length === 0) {
    return {
      lead: 'Nothing wished yet.',
      proof: 'Drag a note outwards; a blend that gives it appears here.',
    };
  }
  if (answer.status === 'closest') {
    const lead = `Closest blend: ${missWords(blend.misses, units)}.`;
    return { lead, proof: closestProof(answer, blend) };
  }
  const { hold } = answer.why;
  const what = objectiveWords(blend, brief.minimise, units);
  if (hold && !hold.reached)
    return { lead: `Holds in most lots: ${what}.`, proof: unreached(hold, units) };
  const holding = hold ? ` that holds in ${percent(hold.wanted)} of lots` : '';
  const [proven, found] = LEADS[brief.minimise];
  const lead = `${answer.status === 'optimal' ? proven : found}: ${what}.`;
  if (brief.minimise === 'closest') return { lead, proof: distanceProof(answer) };
  if (answer.status !== 'optimal') {
    const wanted = brief.limits.holds_in_lots_at_least ?? 0;
    if (!hold && blend.holds_in_lots! < wanted)
      return {
        lead,
        proof: `Stopped before one was sought that holds in ${percent(wanted)} of lots.`,
      };
    if (answer.lower_bound <= 0)
      return { lead, proof: 'Whether a better one exists is not known yet.' };
    const could = hold ? `hold in ${percent(hold.wanted)} of lots` : 'exist';
    return { lead, proof: `Within ${percent(answer.gap)} of the best that could ${could}.` };
  }
  const better = BETTER[brief.minimise];
  const proof =
    answer.gap <= EXACT_GAP
      ? `Proven: no blend${holding} is ${better}.`
      : `Proven: no blend${holding} is ${better} by a weighing step or more.`;
  return { lead, proof };
}

function distanceProof({ status, lower_bound: bound }: DesignAnswer): string {
  if (status !== 'optimal') return `No blend comes closer to the aims than ${decimals(bound, 2)}.`;
  return `Proven: no blend comes ${decimals(SHOWN_MISS, 2)} closer to the aims.`;
}

/** Whether no blend comes closer. Where closeness is asked for, what is proven is the distance from the aims. */
const isClosest = ({ lower_bound: bound }: DesignAnswer, blend: Blend | undefined) =>
  bound > 0 && !!blend && Math.max(blend.worst_miss, blend.distance ?? 0) - bound < SHOWN_MISS;

/** How long the search took. It found what it proves; one that was stopped, or ended without, only searched. */
export function searchedWords(answer: DesignAnswer): string {
  const { milliseconds: ms, status } = answer;
  const proven = status === 'closest' ? isClosest(answer, answer.blends[0]) : status === 'optimal';
  const time = ms < 1000 ? `${decimals(ms, 0)} ms` : `${decimals(ms / 1000, 1)} s`;
  return `${proven ? 'Found in' : 'Searched for'} ${time}.`;
}

function closestProof(answer: DesignAnswer, blend: Blend): string {
  const { lower_bound: bound } = answer;
  if (bound <= 0) return 'It is not known yet whether all wishes can be met together.';
  if (isClosest(answer, blend)) {
    const closer = decimals(SHOWN_MISS, 2);
    return `Proven: not all wishes can be met together, and no blend comes ${closer} closer.`;
  }
  return `No blend misses by less than ${decimals(bound, 2)}.`;
}
