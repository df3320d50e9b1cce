// Questions about the shown blend taken as a schedule of its own: replace a hop that is out of stock,
// save without anybody noticing. What the brief allows still holds, save for what it wished.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { AxisChange, Replacement, Saving } from '#shared/comparison.ts';
import type { Blend } from '#shared/answer.ts';
import type { Brief, Limits, Save, Swap } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import type { Evidence } from '#optimize/evidence.ts';
import type { Aside, Workbench } from '#state/workbench.svelte.ts';
import { blendWords } from './asides.ts';
import { hopMass, intensity, listed, money, quantity } from './format.ts';
import { AXIS_NAMES } from '#shared/words.ts';

const key = (name: string) => name.trim().toLowerCase();

/** The limits of a brief for a hop that takes another's place; nothing is required of that. */
function limitsWithout(brief: Brief, hop: string): Limits {
  const { candidates, limits } = brief;
  const offered = candidates === 'table' || candidates.some((c) => key(c.hop) === key(hop));
  const ban = offered && !limits.ban.some((b) => key(b) === key(hop)) ? [hop] : [];
  return { ...limits, require: [], ban: [...limits.ban, ...ban] };
}

/** The shown blend with a hop to replace, which is out of stock: no lot of it may come back. */
export function swapOf(brief: Brief, blend: Blend, hop: string): Swap {
  const { name, batch, stages, thresholds, candidates } = brief;
  return {
    ...(thresholds && { thresholds }),
    name,
    batch,
    stages,
    additions: [...blend.additions],
    replace: hop,
    candidates,
    limits: limitsWithout(brief, hop),
  };
}

/** Asks what could stand in for a hop of the shown blend. */
export function askForReplacements(workbench: Workbench, hop: string): void {
  const { blend, answeredBrief } = workbench;
  if (blend) workbench.inquiries.swap.ask(swapOf(answeredBrief, blend, hop));
}

/** The axis that changes most. */
export function largestChange(
  changes: Readonly<Record<AxisId, AxisChange>>,
): AxisChange & { readonly axis: AxisId } {
  const sorted = AXES.map((axis) => ({ axis, ...changes[axis] })).sort(
    (a, b) => Math.abs(b.change) - Math.abs(a.change),
  );
  return sorted[0]!;
}

/** "no noticeable change", "most: citrus 0.4 lower". */
export function changeWords({ unnoticed, changes }: Pick<Replacement, 'unnoticed' | 'changes'>) {
  if (unnoticed) return 'no noticeable change';
  const { axis, change } = largestChange(changes);
  const way = change < 0 ? 'lower' : 'higher';
  return `most: ${AXIS_NAMES[axis].toLowerCase()} ${intensity(Math.abs(change))} ${way}`;
}

/** A replacement taken: the schedule with it, shown in place of the designed blend. */
export function replacementAside(
  blend: Replacement & { readonly evidence: Evidence },
  replaced: string,
  brief: Brief,
  units: UnitSystem,
): Aside {
  const change = changeWords(blend);
  return {
    blend,
    evidence: blend.evidence,
    title: `${replaced} replaced by ${listed(blend.hops)}: ${blendWords(blend, brief, units)}`,
    told: `All other additions as they were; ${change}.`,
    designed: false,
  };
}

/** The shown blend to save on, with what the brief offers; its bitterness is kept like its aroma. */
export function saveOf(brief: Brief, blend: Blend): Save {
  const { name, batch, stages, thresholds, candidates, limits } = brief;
  const { ibu_at_least: _, ibu_at_most: __, ...others } = limits;
  const additions = [...blend.additions];
  return {
    ...(thresholds && { thresholds }),
    name,
    batch,
    stages,
    additions,
    candidates,
    limits: { ...others, require: [] },
  };
}

/** "saves 1.20, 12 g of hops and 0.2 L of beer; takes …": what is minimised comes first. */
export function savedWords(
  { totals_change: change, minimised }: Saving,
  units: UnitSystem,
): string {
  const { cost, hop_g: grams, beer_lost_l: lost } = change;
  const hops = { by: grams, words: `${hopMass(Math.abs(grams), units)} of hops` };
  const paid = { by: cost ?? 0, words: money(Math.abs(cost ?? 0)) };
  const beer = { by: lost, words: `${quantity(Math.abs(lost), 'volume', units)} of beer` };
  const parts = minimised === 'cost' ? [paid, hops, beer] : [hops, paid, beer];
  const told = parts.filter(({ words }) => /[1-9]/.test(words));
  const listedOf = (sign: number) =>
    listed(told.filter(({ by }) => Math.sign(by) === sign).map(({ words }) => words));
  const [saved, taken] = [listedOf(-1), listedOf(1)];
  return [saved && `saves ${saved}`, taken && `takes ${taken} more`].filter(Boolean).join('; ');
}

/** A saving taken: shown in place of the designed blend. */
export function savingAside(
  blend: Saving & { readonly evidence: Evidence },
  brief: Brief,
  units: UnitSystem,
): Aside {
  const word = blend.minimised === 'cost' ? 'Cheapest' : 'Lightest';
  return {
    blend,
    evidence: blend.evidence,
    title: `${word} in its place: ${blendWords(blend, brief, units)}`,
    told: `No note changes noticeably; ${savedWords(blend, units)}.`,
    designed: false,
  };
}
