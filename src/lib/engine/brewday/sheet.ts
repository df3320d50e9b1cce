// The brew sheet of a schedule: its steps and what is expected of the beer. Page, print, terminal and calendar
// all get the sheet from here.
import { AXES, type AxisId } from '#shared/ids.ts';
import type { Prediction } from '#shared/answers/prediction.ts';
import { CODES_FIRST, GENERAL_CAUTIONS } from '#shared/answers/cautions.ts';
import type { BrewSheet, Expected } from '#shared/answers/sheet.ts';
import { DAYS_PER_MONTH } from '#engine/lot/lot-storage.ts';
import type { Design } from '#engine/predict/design.ts';
import type { Model } from '#engine/tables/model.ts';
import { dayAfter } from './days.ts';
import { settingsUsed, type BrewSettings } from './settings.ts';
import { stepsOf } from './steps.ts';
import { wortLosses } from './wort-losses.ts';

export interface SheetAsked {
  /** ISO day. */
  readonly brewed_on?: string | undefined;
  readonly note?: string;
  readonly settings?: BrewSettings;
}

/** The part of a prediction that the sheet shows. */
export type SheetPrediction = Pick<
  Prediction,
  'totals' | 'totals_band' | 'creep' | 'axes' | 'shelf'
>;

function expectedOf(
  model: Model,
  design: Design,
  { totals, totals_band, axes, shelf }: SheetPrediction,
): Omit<Expected, 'best_before_on'> {
  const { mash_l, kettle_l } = wortLosses(model, design);
  const made_up_l = Math.min(mash_l + kettle_l, totals.beer_lost_l);
  return {
    ibu: totals.ibu,
    ibu_band: totals_band.ibu,
    beer_lost_l: totals.beer_lost_l,
    made_up_l,
    packaged_l: Math.max(0, design.batch.beer_l - (totals.beer_lost_l - made_up_l)),
    creep_co2_vol: totals.creep_co2_vol,
    creep_to_come_vol: totals.creep_to_come_vol,
    best_before_months: shelf.best_before.months,
    axes: Object.fromEntries(
      AXES.map((axis) => {
        const { intensity, low, high } = axes[axis];
        return [axis, { intensity, low, high }];
      }),
    ) as Record<AxisId, Expected['axes'][AxisId]>,
  };
}

/** @param prediction of this very design. */
export function sheetOf(
  model: Model,
  design: Design,
  prediction: SheetPrediction,
  { brewed_on, note = '', settings = {} }: SheetAsked = {},
): BrewSheet {
  const expected = expectedOf(model, design, prediction);
  const steps = stepsOf({
    model,
    design,
    settings: settingsUsed(model, settings),
    brewedOn: brewed_on ?? null,
    packagedL: expected.packaged_l,
    creep: prediction.creep,
  });
  const packaged = steps.find(({ kind }) => kind === 'package')?.date ?? null;
  const { best_before_months: keeps } = expected;
  const best_before_on =
    packaged === null || keeps === null
      ? null
      : dayAfter(packaged, Math.floor(keeps * DAYS_PER_MONTH));
  return {
    name: design.name,
    brewed_on: brewed_on ?? null,
    beer_l: design.batch.beer_l,
    yeast: design.batch.yeast,
    gravity_sg: design.batch.gravity_sg ?? null,
    hop_g: prediction.totals.hop_g,
    steps,
    expected: { ...expected, best_before_on },
    note,
    cautions: [...GENERAL_CAUTIONS, CODES_FIRST].filter(
      (caution) => !steps.some(({ cautions }) => cautions.includes(caution)),
    ),
  };
}
