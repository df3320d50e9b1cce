// Questions about the shown blend taken as a schedule of its own: replace a hop that is out of stock,
// save without anybody noticing. What the brief allows still holds, save for what it wished.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { AxisChange, ComparedBlend, Saving } from '#shared/answers/comparison.ts';
import type { Blend } from '#shared/answers/answer.ts';
import { judgingOf, type Brief, type Save, type Swap } from '#shared/schemas/brief.ts';
import type { UnitSystem } from '#shared/units.ts';
import { ibuWindow } from '#optimize/problem/ibu-window.ts';
import { additionsOf, changesBetween, ownOf } from '#state/documents/by-hand.ts';
import { hopsUsedUp, sameHop, withoutHops } from '#state/stock/stock.ts';
import { pricedBy } from '#state/stock/stock-prices.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { hopMass, intensity, listed, money, quantity } from '#wording/format.ts';
import { runOutOfHop } from './lot-edits.ts';
import { noteInList } from '#wording/words.ts';

/** The shown blend with a hop to replace: no lot of it may come back. */
export function swapOf(brief: Brief, blend: Blend, hop: string): Swap {
  const { name, batch, stages, candidates, limits } = withoutHops(brief, [hop], [hop]);
  return {
    ...judgingOf(brief),
    name,
    batch,
    stages,
    additions: [...blend.additions],
    replace: hop,
    candidates,
    // Nothing is required of what takes another's place.
    limits: { ...limits, require: [] },
  };
}

/**
 * A question about the shown blend with what it may be answered from: what the brief offers; where that
 * is the whole table, the stock's own lots and prices in it, and so in the blend.
 */
async function withStock(
  { blend, shownBrief }: Workbench,
  { document: { lots }, prices }: Workspace,
): Promise<{ readonly brief: Brief; readonly blend: Blend } | null> {
  if (!blend) return null;
  if (shownBrief.candidates !== 'table' || lots.length === 0) return { brief: shownBrief, blend };
  const { tableAndStock, dayOf } = await import('#state/stock/stock-model.ts');
  const candidates = tableAndStock(lots, dayOf(new Date()));
  const additions = pricedBy(blend.additions, prices);
  return { brief: { ...shownBrief, candidates }, blend: { ...blend, additions } };
}

/** Asks what could stand in for a hop of the shown blend. */
export async function askForReplacements(
  workbench: Workbench,
  workspace: Workspace,
  hop: string,
): Promise<void> {
  const { inquiries } = workbench;
  inquiries.save.clear();
  const about = await withStock(workbench, workspace);
  if (about) inquiries.swap.ask(swapOf(about.brief, about.blend, hop));
}

/** Marks a hop of the shown blend as used up, and asks what could stand in for it. */
export async function runOutOf(
  workbench: Workbench,
  workspace: Workspace,
  hop: string,
): Promise<void> {
  if (!hopsUsedUp(workspace.document.lots).some((gone) => sameHop(gone, hop)))
    runOutOfHop(workspace, hop);
  await askForReplacements(workbench, workspace, hop);
}

/**
 * Asks for the cheapest and the lightest in place of the shown blend.
 * @param asked limits and just noticeable difference in place of those of the brief.
 */
export async function askForSavings(
  workbench: Workbench,
  workspace: Workspace,
  asked: Partial<Pick<Save, 'limits' | 'just_noticeable'>> = {},
): Promise<void> {
  const { inquiries } = workbench;
  inquiries.swap.clear();
  const about = await withStock(workbench, workspace);
  if (about) inquiries.save.ask({ ...saveOf(about.brief, about.blend), ...asked });
}

/** Takes a compared blend as one's own; one step back leads to the blend before. */
export function take(
  workbench: Workbench,
  name: string,
  { additions }: Pick<Blend, 'additions'>,
): string | null {
  return workbench.editOwn(name, () => ownOf(additions, workbench.shownBrief));
}

/** Whether the blend shown is the one compared. */
export function isTaken(workbench: Workbench, { additions }: Pick<Blend, 'additions'>): boolean {
  const own = workbench.own.additions;
  return own !== null && changesBetween(additionsOf(own), additions).length === 0;
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

/** "no note changes noticeably, most citrus, 0.1 lower", "citrus changes most, 0.4 lower". */
export function changeWords({ changes }: Pick<ComparedBlend, 'changes'>): string {
  const { axis, change } = largestChange(changes);
  const name = noteInList(axis);
  const by = `${intensity(Math.abs(change))} ${change < 0 ? 'lower' : 'higher'}`;
  if (isUnnoticed({ changes })) {
    return /[1-9]/.test(by) ? `no note changes noticeably; ${name} ${by}` : 'no note changes';
  }
  return `${name} changes most: ${by}`;
}

export function isUnnoticed({ changes }: Pick<ComparedBlend, 'changes'>): boolean {
  return AXES.every((axis) => !changes[axis].noticeable);
}

/** Share of an IBU that is rounding. */
const IBU_ROUNDING = 1e-6;

/**
 * The shown blend to save on, with what the brief offers; its bitterness is kept like its aroma, and
 * within the brief's own limits where the blend keeps them.
 */
export function saveOf(brief: Brief, blend: Blend): Save {
  const { name, batch, stages, candidates, limits } = brief;
  const { ibu_at_least: least = -Infinity, ibu_at_most: most = Infinity, ...others } = limits;
  const { ibu } = blend.totals;
  const near = ibuWindow(blend);
  const tighter = {
    ...(least > near.atLeast && least <= ibu + IBU_ROUNDING && { ibu_at_least: least }),
    ...(most < near.atMost && most >= ibu - IBU_ROUNDING && { ibu_at_most: most }),
  };
  const additions = [...blend.additions];
  return {
    ...judgingOf(brief),
    name,
    batch,
    stages,
    additions,
    candidates,
    limits: { ...others, ...tighter, require: [] },
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
