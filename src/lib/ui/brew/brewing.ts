// What the place Brew shows: the design that is open or a batch, as a schedule and
// its sheet. Loads the hop table.
import { isFields } from '#shared/fields.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { Prediction } from '#shared/answers/prediction.ts';
import type { BrewSheet } from '#shared/answers/sheet.ts';
import type { SavedBatch } from '#shared/schemas/batch.ts';
import type { OwnKnowledge } from '#shared/schemas/knowledge.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { knownModel } from '#engine/doubt/known.ts';
import { sheetOf } from '#engine/brewday/sheet.ts';
import type { BrewSettings } from '#engine/brewday/settings.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { model as base, modelFor } from '#engine/tables/model.ts';
import { scheduleOf, titleOf } from '#state/documents/documents.ts';
import { pricedBy } from '#state/stock/stock-prices.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { dayWords } from '#sheets/sheet-words.ts';

export { dayOf, stockModel } from '#state/stock/stock-model.ts';

export const VIEWS = ['sheet', 'shopping', 'brewhouse', 'log', 'tasting'] as const;
export type BrewView = (typeof VIEWS)[number];
/** Stands in the address for the design that is open. */
export const OPEN_DESIGN = 'design';

/** Where the address points: `#brewhouse/<batch>`. */
export function placeIn(hash: string): { readonly view: BrewView; readonly id: string } {
  const [view, id] = hash.replace(/^#/, '').split('/');
  return { view: VIEWS.find((v) => v === view) ?? 'sheet', id: id ?? OPEN_DESIGN };
}

export interface Brew {
  readonly title: string;
  /** `null` where it is a design. */
  readonly batch: SavedBatch | null;
  /** `null` where the design has no blend yet. */
  readonly schedule: Schedule | null;
  readonly note: string;
}

/** "Mon 30 Nov 2026, Pale ale": batches of one beer share its name, so the day comes first. */
export function batchTitle({ name, brewed_on: day }: SavedBatch): string {
  return day === undefined ? name : `${dayWords(day, true)}, ${name}`;
}

/** The same by id: what names a batch may outlive it. */
export function batchTitleIn(batches: readonly SavedBatch[], id: string): string {
  const batch = batches.find((b) => b.id === id);
  return batch ? batchTitle(batch) : 'a batch that is gone';
}

/** The batch of that id; the open design where there is none. */
export function brewOf(workspace: Workspace, id: string): Brew {
  const batch = workspace.document.batches.find((b) => b.id === id) ?? null;
  if (batch) return { title: batch.name, batch, schedule: batch.brewed, note: batch.note };
  const { open, prices } = workspace;
  const schedule = scheduleOf(open);
  const priced = schedule && { ...schedule, additions: pricedBy(schedule.additions, prices) };
  return { title: titleOf(open), batch: null, schedule: priced, note: open.note };
}

/**
 * The schedule with its lots, as the sheet needs it.
 * @param knowledge what is brought to the published model.
 */
export function brewedDesign(schedule: Schedule, knowledge: OwnKnowledge): Outcome<Design> {
  return designOf(modelFor(knownModel(base, knowledge), schedule), schedule);
}

/** @param prediction of this very design. */
export function sheetFor(
  design: Design,
  prediction: Prediction,
  brewed_on: string | undefined,
  note: string,
  settings: BrewSettings,
): BrewSheet {
  return sheetOf(base, design, prediction, { brewed_on, note, settings });
}

const SETTINGS_KEY = 'blendbine.brewday';
const SETTINGS = [
  'liquor_l_per_kg',
  'malt_temp_c',
  'evaporation_pct_per_h',
  'kettle_loss_pct',
  'pitch_temp_c',
  'fermentation_days',
] as const;
export type SettingId = (typeof SETTINGS)[number];

/** How this brewer brews, kept in this browser; what cannot be read is as if nobody had said it. */
export function keptSettings(): BrewSettings {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(SETTINGS_KEY) ?? '{}');
    if (!isFields(kept)) return {};
    const given = SETTINGS.filter((id) => Number.isFinite(kept[id]));
    return Object.fromEntries(given.map((id) => [id, kept[id]]));
  } catch {
    return {};
  }
}

export function keepSettings(settings: BrewSettings): void {
  try {
    localStorage.setItem(SETTINGS_KEY, JSON.stringify(settings));
  } catch {
    // Blocked storage: they hold until the page is left.
  }
}
