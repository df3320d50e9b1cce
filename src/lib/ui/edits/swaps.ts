// Questions about the shown blend taken as a schedule of its own: replace a hop that is out of stock,
// save without anybody noticing. What the brief allows still holds, save for what it wished.
import { AXES, type AxisId } from '#shared/ids.ts';
import type {
  AxisChange,
  ComparedBlend,
  Loosening,
  Original,
  Saving,
} from '#shared/answers/comparison.ts';
import { wishSubject } from '#shared/answers/wish-subject.ts';
import type { Blend } from '#shared/answers/answer.ts';
import type { Save, Swap } from '#shared/schemas/asked.ts';
import { judgingOf, type Brief, type Limits } from '#shared/schemas/brief.ts';
import { STAGE_LIMITS, usualStageLimits } from '#shared/schemas/stage-limits.ts';
import type { SavedLot } from '#shared/schemas/workspace.ts';
import { given } from '#shared/given.ts';
import type { UnitSystem } from '#shared/units.ts';
import { IBU_ROUNDING, ibuWindow, keepsBitterness } from '#optimize/problem/ibu-window.ts';
import { ownOf } from '#state/documents/by-hand.ts';
import { sameHop, withoutHops } from '#state/stock/out-of-stock.ts';
import { pricedBy } from '#state/stock/stock-prices.ts';
import type { SaveAsked, Task } from '#ui/context/handover.svelte.ts';
import type { ReplacementSource } from '#state/workbench/inquiries.svelte.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import {
  decimals,
  hopMass,
  intensity,
  listed,
  money,
  quantity,
  withUnit,
} from '#wording/format.ts';
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
    limits: { ...bitternessKept(limits, blend), require: [] },
  };
}

/**
 * Where replacements may come from: the lots the brief lists, one's own stock, or the whole table with
 * the stock's lots and prices in it. The first is taken unless another is asked for.
 */
export function sourcesOf(
  { candidates }: Pick<Brief, 'candidates'>,
  lots: readonly SavedLot[],
  hop: string,
): ReplacementSource[] {
  const isThere = (lot: SavedLot) => !lot.out_of_stock && !sameHop(lot.hop, hop);
  return [
    ...(candidates === 'table' ? [] : (['brief'] as const)),
    ...(lots.some(isThere) ? (['stock'] as const) : []),
    'table',
  ];
}

/**
 * A question about the shown blend with what it may be answered from; blend and lots with the prices
 * of the stock.
 */
async function withStock(
  { blend, shownBrief }: Workbench,
  { document: { lots }, prices, knowledge }: Workspace,
  source: ReplacementSource,
): Promise<{ readonly brief: Brief; readonly blend: Blend } | null> {
  if (!blend) return null;
  if (source === 'brief' || lots.length === 0) return { brief: shownBrief, blend };
  const { dayOf, stockModel } = await import('#state/stock/stock-model.ts');
  const [stock, today] = [stockModel(knowledge.own), dayOf(new Date())];
  const candidates =
    source === 'stock' ? stock.candidatesToday(lots, today) : stock.tableAndStock(lots, today);
  const additions = pricedBy(blend.additions, prices);
  return { brief: { ...shownBrief, candidates }, blend: { ...blend, additions } };
}

/**
 * Asks for replacements of a hop of the shown blend.
 * @param asked where it may come from; as before while the question is open, else the first there is.
 */
export async function askForReplacements(
  workbench: Workbench,
  workspace: Workspace,
  hop: string,
  asked?: ReplacementSource,
): Promise<void> {
  const { inquiries } = workbench;
  const sources = sourcesOf(workbench.shownBrief, workspace.document.lots, hop);
  const before = inquiries.swap.question ? inquiries.replacementsFrom : null;
  const source = asked ?? sources.find((one) => one === before) ?? sources[0]!;
  inquiries.save.clear();
  const about = await withStock(workbench, workspace, source);
  if (!about) return;
  inquiries.replacementsFrom = source;
  inquiries.swap.ask(swapOf(about.brief, about.blend, hop));
}

/** Marks a hop of the shown blend as used up, and asks for its replacements. */
export async function runOutOf(
  workbench: Workbench,
  workspace: Workspace,
  hop: string,
): Promise<void> {
  if (!workspace.isGone(hop)) runOutOfHop(workspace, hop);
  await askForReplacements(workbench, workspace, hop);
}

/**
 * Asks for the cheapest and the lightest in place of the shown blend.
 * @param asked in place of what the brief allows, and of what was aimed at before.
 */
export async function askForSavings(
  workbench: Workbench,
  workspace: Workspace,
  { save_at_least, beer_price_per_l, ...asked }: SaveAsked = {},
): Promise<void> {
  const { inquiries } = workbench;
  inquiries.swap.clear();
  const source = workbench.shownBrief.candidates === 'table' ? 'table' : 'brief';
  const about = await withStock(workbench, workspace, source);
  if (!about) return;
  inquiries.savingAim = given({
    ...inquiries.savingAim,
    ...given({ save_at_least, beer_price_per_l }),
  });
  inquiries.save.ask({
    ...saveOf(about.brief, about.blend),
    ...given(asked),
    ...inquiries.savingAim,
  });
}

/** The question that is open about the shown blend, to be asked again; `null` where there is none. */
export function asked({ inquiries: { save, swap } }: Workbench): Task | null {
  if (swap.question) return { kind: 'replace', hop: swap.question.replace };
  if (!save.question) return null;
  const { limits, just_noticeable } = save.question;
  return { kind: 'save', asked: given({ limits, just_noticeable }) };
}

/** Asks once more of the same blend, with another goal or another price of beer; `undefined` takes one off. */
export function aimSavings(
  { inquiries }: Workbench,
  aim: Partial<Record<'save_at_least' | 'beer_price_per_l', number | undefined>>,
): void {
  const { save } = inquiries;
  if (!save.question) return;
  inquiries.savingAim = given({ ...inquiries.savingAim, ...aim });
  const { save_at_least: _, beer_price_per_l: _beer, ...question } = save.question;
  save.ask({ ...question, ...inquiries.savingAim });
}

/** The limits on stages of which a question states nothing: what is usual holds, unless they stand there empty. */
const leftOpen = ({ limits }: Save) =>
  STAGE_LIMITS.filter((limit) => Object.keys(limits[limit] ?? {}).length === 0);

/** Whether a question leaves forms or doses of some stage to what is usual; `lifted` where it takes any. */
export function usualAtStages(save: Save): 'kept' | 'lifted' | null {
  const usual = usualStageLimits(save);
  const open = leftOpen(save).filter((limit) => usual[limit]);
  if (open.length === 0) return null;
  return open.some((limit) => save.limits[limit]) ? 'lifted' : 'kept';
}

/** Asks once more of the same blend: with any form and dose at every stage, or with what is usual there. */
export function liftUsual({ inquiries: { save } }: Workbench, lift: boolean): void {
  if (!save.question) return;
  const limits = { ...save.question.limits };
  for (const limit of leftOpen(save.question)) {
    if (lift) limits[limit] = {};
    else delete limits[limit];
  }
  save.ask({ ...save.question, limits });
}

/** Takes a compared blend as one's own; one step back leads to the blend before. */
export function take(
  workbench: Workbench,
  name: string,
  { additions }: Pick<Blend, 'additions'>,
): string | null {
  return workbench.editOwn(name, () => ownOf(additions, workbench.shownBrief));
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

/**
 * Limits under which the bitterness is kept like the aroma: those of the brief hold where the blend
 * keeps them and they are nearer than what nobody notices.
 */
function bitternessKept(
  { ibu_at_least: least = -Infinity, ibu_at_most: most = Infinity, ...others }: Limits,
  blend: Pick<Blend, 'totals'>,
): Limits {
  const { ibu } = blend.totals;
  const near = ibuWindow(blend);
  return {
    ...others,
    ...(least > near.atLeast && least <= ibu + IBU_ROUNDING && { ibu_at_least: least }),
    ...(most < near.atMost && most >= ibu - IBU_ROUNDING && { ibu_at_most: most }),
  };
}

/** The shown blend to save on, with what the brief offers; its bitterness is kept like its aroma. */
export function saveOf(brief: Brief, blend: Blend): Save {
  const { name, batch, stages, candidates, limits } = brief;
  return {
    ...judgingOf(brief),
    name,
    batch,
    stages,
    additions: [...blend.additions],
    candidates,
    limits: { ...bitternessKept(limits, blend), require: [] },
  };
}

/** "from 31 to 24 IBU" where the bitterness leaves its room of 10 % or 2 IBU; `null` where it is kept. */
export function bitternessChange(
  { totals }: Pick<ComparedBlend, 'totals'>,
  before: Pick<Original, 'totals'>,
): string | null {
  if (keepsBitterness(before, totals)) return null;
  const [from, to] = [before.totals.ibu, totals.ibu].map((figure) => decimals(figure, 0));
  return `from ${from!} to ${withUnit(to!, 'IBU')}`;
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
  const noticeable = parts.filter(({ words }) => /[1-9]/.test(words));
  const listedOf = (sign: number) =>
    listed(noticeable.filter(({ by }) => Math.sign(by) === sign).map(({ words }) => words));
  const [saved, taken] = [listedOf(-1), listedOf(1)];
  return [saved && `saves ${saved}`, taken && `takes ${taken} more`].filter(Boolean).join('; ');
}

/** "citrus down to 4.2, 0.5 lower", "bitterness up to 33 IBU, 4 IBU higher", "5 hops in place of 4". */
export function looseningWords({ path, from, to }: Loosening): string {
  const [wish, side] = [path.replace(/\.at_(least|most)$/, ''), /at_(least|most)$/.exec(path)?.[1]];
  const of = wishSubject(wish);
  const [until, further] = side === 'most' ? ['up to', 'higher'] : ['down to', 'lower'];
  const by = Math.abs(to - from);
  if (of?.kind === 'axis') {
    return `${noteInList(of.axis)} ${until} ${intensity(to)}, ${intensity(by)} ${further}`;
  }
  if (of?.kind === 'limit' && of.limit === 'hops_at_most') {
    return `${decimals(to, 0)} hops in place of ${decimals(from, 0)}`;
  }
  return `bitterness ${until} ${withUnit(decimals(to, 1), 'IBU')}, ${withUnit(decimals(by, 1), 'IBU')} ${further}`;
}
