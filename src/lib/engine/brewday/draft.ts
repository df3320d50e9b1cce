// A step of the sheet before it has a date: what the files of this room produce, and the helpers they share for
// it.
import { lotDetails } from '#shared/answers/lot-details.ts';
import type {
  SheetFigure,
  SheetStep,
  SheetUnit,
  StepKind,
  WeighOut,
} from '#shared/answers/sheet.ts';
import type { Creep } from '#shared/answers/prediction.ts';
import type { StageUse } from '#shared/stages/stages.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import type { SettingsUsed } from './settings.ts';

export const figure = (
  name: string,
  value: number,
  unit: SheetUnit,
  more: Partial<SheetFigure> = {},
): SheetFigure => ({ name, value, unit, ...more });
export const usual = (is: boolean): Partial<SheetFigure> => (is ? { usual: true } : {});

export interface StepDraft extends Partial<Omit<SheetStep, 'id' | 'date' | 'ends_date'>> {
  readonly kind: StepKind;
  readonly title: string;
  readonly vessel: string;
}

/** What distinguishes a lot from others of its hop, in words. */
function lotWords({ figures, packageG, storage }: Design['additions'][number]['lot']): string {
  const alpha = figures.alpha_pct;
  const own = alpha?.status === 'analysis' ? alpha.central : undefined;
  return lotDetails(own, packageG ?? undefined, storage);
}

export function weighOuts(design: Design, key: string): WeighOut[] {
  return design.additions
    .filter((a) => a.stage === key && a.grams > 0)
    .map(({ lot, grams }) => ({ hop: lot.hop, form: lot.form, grams, lot: lotWords(lot) }))
    .sort((a, b) => b.grams - a.grams);
}

export interface StepsAsked {
  readonly model: Model;
  readonly design: Design;
  readonly settings: SettingsUsed;
  readonly brewedOn: string | null;
  readonly packagedL: number;
  readonly creep: Creep | null;
}

export type Of<K extends StageUse['kind']> = Extract<StageUse, { readonly kind: K }>;
export const ofKind = <K extends StageUse['kind']>(uses: readonly StageUse[], kind: K) =>
  uses.filter((use): use is Of<K> => use.kind === kind);
