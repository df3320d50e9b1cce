// What the program predicts for each observation of data/published/, by its id. A direction is
// predicted as the ratio that must rise, fall or stay; everything else in the unit of the row.
import { mean, median } from 'simple-statistics';
import { shareAfterAdsorption } from '#engine/process/load-law.ts';
import {
  alphaLossRate,
  creepExtract,
  isoFraction,
  isomerizationRate,
  leftAtStorageIndex,
  shelfRate,
} from '../engine/support/numbers.ts';
import { OIL_COMPOUNDS, THIOLS, type CompoundId } from '#shared/ids.ts';
import type { Analysis, Storage } from '#shared/schemas/lot.ts';
import type { Stages } from '#shared/stages/stages.ts';
import {
  alphaTransferred,
  brew,
  doseFor,
  tableFigure,
  transferred,
  ugPerL,
  values,
  type Trial,
} from './brewing.ts';
import { lotOf } from '#engine/lot/composition.ts';
import { humulinonesOf } from '#engine/lot/humulinones.ts';
import { Lines } from '#engine/symbols/rows.ts';
import { model } from '#engine/tables/model.ts';

type Predict = () => number;

const dryHop = (temp_c: number, hours: number, over: object = {}): Stages => ({
  dry_hop: { temp_c, hours, mixed: false, live_yeast: false, ...over },
});
const LATE: Stages = { hot_steep: { temp_c: 95, minutes: 20, closed: false } };
const WEEK = dryHop(15, 168);

/* Retention in spent hops (HAUS19) */

const PILOT: Trial = { form: 'cone', stage: 'dry_hop', dose: 3.86, stages: dryHop(13, 24) };
const INDUSTRIAL: Trial = { stage: 'dry_hop', dose: 15.92, stages: dryHop(15, 72) };
const RETENTION_HOPS = ['Amarillo', 'Centennial', 'Cascade'];

const alphaLeft = (trial: Trial) => () =>
  100 *
  mean(
    RETENTION_HOPS.map((hop) => alphaTransferred({ ...trial, hop }, tableFigure(hop, 'alpha_pct'))),
  );

/** Share of the whole oil that is in the beer: what the program follows of it, over all. */
const oilLeft = (trial: Trial) => () =>
  100 *
  mean(
    RETENTION_HOPS.map((hop) => {
      const beer = brew({ ...trial, hop });
      const held = OIL_COMPOUNDS.reduce((sum, compound) => sum + ugPerL(beer, compound), 0);
      const form = values[`form.${trial.form ?? 'pellet_90'}.concentration`];
      const oil = tableFigure(hop, 'total_oil_ml_per_100g') * form * values['oil.density'] * 10_000;
      return held / (trial.dose * oil);
    }),
  );

function spentRatio(): number {
  const left = (compound: CompoundId) => 1 - transferred(compound, PILOT);
  return left('linalool') / left('humulene');
}

/* Transfer by class (GAHR19) */

const late: Trial = { stage: 'hot_steep', dose: 4, stages: LATE };
const dry: Trial = { stage: 'dry_hop', dose: 4, stages: WEEK };
/** A dry hop of which only the bitter acids are given. */
const leafy: Trial = { ...dry, analysis: { alpha_pct: 5 } };
const percentOf =
  (trial: Trial, ...compounds: CompoundId[]) =>
  () =>
    100 * Math.max(...compounds.map((compound) => transferred(compound, trial)));
const HYDROCARBONS: CompoundId[] = [
  'myrcene',
  'limonene',
  'beta_pinene',
  'humulene',
  'caryophyllene',
  'farnesene',
];

/* Isomerization (MAL05) */

const GAS_CONSTANT = 8.314; // J/(mol K)
const isomerization: Record<string, Predict> = {
  'iso.energy.formation': () => (values['iso.b1'] * GAS_CONSTANT) / 1000,
  'iso.energy.loss': () => (values['iso.b2'] * GAS_CONSTANT) / 1000,
  'iso.utilisation': () => 100 * isoFraction(100, 75) * values['iso.to_beer'],
};
for (const tempC of [90, 100, 110, 120, 130]) {
  isomerization[`iso.rate.${tempC}`] = () => isomerizationRate(tempC);
  for (const minutes of [30, 60, 90]) {
    isomerization[`iso.fraction.${tempC}.${minutes}`] = () => isoFraction(tempC, minutes);
  }
}

/* Thiols (REGL18, GROS12) */

/** The dose of `hops`, each alone, that gives `target` ug/L of a thiol: mean over the hops. */
const impliedDose = (target: number, compound: CompoundId, trial: Trial, hops: string[]) => () =>
  mean(
    hops.map((hop) => doseFor(target, (dose) => ugPerL(brew({ ...trial, hop, dose }), compound))),
  );

function thiolActivity(trial: Trial): number {
  const beer = brew({ ...trial, malt: 200 });
  return THIOLS.reduce(
    (sum, thiol) => sum + ugPerL(beer, thiol) / model.compounds[thiol].threshold!.central,
    0,
  );
}

function sh3OverSupply(): number {
  const ratios = ['Cascade', 'Columbus (CTZ)'].map((hop) => {
    const beer = brew({ ...late, hop, dose: 2, malt: 200 });
    return ugPerL(beer, 'sh3') / ((2 * tableFigure(hop, 'sh3_ug_per_kg')) / 1000);
  });
  return Math.sqrt(ratios[0]! * ratios[1]!);
}

/* Time course of a stirred dry hop (WOLFE12) */

const stirred = (compound: CompoundId, hours: number) =>
  transferred(compound, { stage: 'dry_hop', dose: 4, stages: dryHop(20, hours, { mixed: true }) });

function hourOfMost(compound: CompoundId, within: number): number {
  const hours = Array.from({ length: within * 4 }, (_, i) => (i + 1) / 4);
  const levels = hours.map((hour) => stirred(compound, hour));
  // the first hour within one part in a thousand of the highest
  return hours[levels.findIndex((level) => level >= 0.999 * Math.max(...levels))]!;
}

/* Addition on live yeast (TAKOI14, TAKOI11) */

const GERANIOL_RICH: Analysis = {
  total_oil_ml_per_100g: 2,
  linalool_pct_of_oil: 0.5,
  geraniol_pct_of_oil: 0.5,
  citronellol_pct_of_oil: 0.005,
};
/** Days of a fermentation of seven still to come where the hops go in. */
const DAYS_LEFT = { pitching: 7, day3: 4, end: 0 };

function timed(when: keyof typeof DAYS_LEFT, compound: CompoundId, maturation = 7): number {
  const days = DAYS_LEFT[when];
  const beer = brew({
    ...{ stage: 'dry_hop', dose: 4, analysis: GERANIOL_RICH },
    stages: dryHop(15, 24 * (days + maturation), { live_yeast: true }),
    change: { 'dry_hop.fermentation_left': days / 7, 'ferment.days': 7 },
  });
  return ugPerL(beer, compound);
}

/** A steeped compound after fermentation over before, by what yeast keeps and forms. */
function fermented(compound: 'geraniol' | 'citronellol'): number {
  const trial: Trial = { ...late, analysis: GERANIOL_RICH };
  const untouched = {
    'ferment.survival.geraniol': 1,
    'ferment.survival.linalool': 1,
    'ferment.glycoside_gain': 0,
  };
  return ugPerL(brew(trial), compound) / ugPerL(brew({ ...trial, change: untouched }), compound);
}

/* Single findings */

const offered = model.hops.filter(({ missing }) => missing.length === 0);

/** Humulinones of type 90 pellets of the table, % by weight (MAYE15, MCMIL23). */
function humulinonePct(hop: string, storage?: Storage): number {
  const lot = lotOf(model, { hop, form: 'pellet_90', storage });
  if (!lot.ok) throw new Error(`${hop} is not in the table`);
  return humulinonesOf(new Lines(model), lot.value)!.value / 10;
}

/** Fraction of the alpha acids of a hop of 13 % that is in the beer after a fortnight (OLAD17). */
const alphaDry = (tempC: number) =>
  alphaTransferred({ stage: 'dry_hop', dose: 4, stages: dryHop(tempC, 14 * 24) }, 13);

/** ug/L from the dry hop of each variety alone, the middle one of all that are offered. */
function medianOfTable(compound: CompoundId): number {
  return median(offered.map(({ name }) => ugPerL(brew({ ...dry, hop: name }), compound)));
}

const chinook = (dose: number, hours: number) =>
  brew({ stage: 'dry_hop', dose, stages: dryHop(18, hours), analysis: { alpha_pct: 13 } }).totals
    .ibu;

function closedOverLate(compound: CompoundId): number {
  const closed: Stages = { hot_steep: { temp_c: 90, minutes: 30, closed: true } };
  return transferred(compound, { ...late, stages: closed }) / transferred(compound, late);
}

/* Storage of hops (RUT23A, NICK79) and hop creep (KIRK18, HOPQ18) */

/** Percent of the alpha acids lost by a hop of usual keeping. */
function alphaLost(months: number, temp_c: number, packed: 'sealed' | 'opened'): number {
  const rate = alphaLossRate({ temp_c, packed });
  return 100 * (1 - Math.exp(-rate * months));
}

/** Fraction of a compound left in the packaged beer (GAHR19, REGL18). */
const onShelf = (compound: CompoundId, tempC: number, months: number) =>
  Math.exp(-shelfRate(compound, tempC) * months);
/** 470 days. */
const LONG = 470 / 30.4375;
const lostOnShelf = (compound: CompoundId, tempC: number) => () =>
  100 * (1 - onShelf(compound, tempC, LONG));

const byIndex: Record<string, Predict> = {};
for (const index of [0.3, 0.35, 0.4, 0.5, 0.6, 0.7]) {
  byIndex[`hop_age.index_${index.toFixed(2).replace('.', '_')}`] = () =>
    100 * (1 - leftAtStorageIndex(index));
}

const creepVolumes = (load: number, days: number) =>
  creepExtract(load, days) * values['creep.co2_vol'];

export const PREDICTIONS: Readonly<Record<string, Predict>> = {
  ...isomerization,
  ...byIndex,
  'hop_age.sealed': () => alphaLost(24, 4, 'sealed'),
  'hop_age.opened': () => alphaLost(24, 20, 'opened'),
  'hop_age.six_months': () => alphaLost(6, 20, 'opened'),
  'ageing.monoterpenes.20': lostOnShelf('myrcene', 20),
  'ageing.monoterpenes.30': lostOnShelf('myrcene', 30),
  'ageing.esters.0': lostOnShelf('branched_isobutyrates', 0),
  'ageing.esters.20': lostOnShelf('branched_isobutyrates', 20),
  'ageing.esters.30': lostOnShelf('branched_isobutyrates', 30),
  'ageing.linalool': () => onShelf('linalool', 20, LONG),
  'msp4.stored.filtered.5': () => 100 * onShelf('msp4', 5, 3),
  'msp4.stored.unfiltered.5': () => 100 * onShelf('msp4', 5, 3),
  'msp4.stored.20': () => 100 * onShelf('msp4', 20, 3),
  'msp4.stored.longer': () => onShelf('msp4', 20, 6) / onShelf('msp4', 20, 3),
  'creep.extract.5': () => creepExtract(10, 5),
  'creep.extract.40': () => creepExtract(10, 40),
  'creep.co2.40': () => creepVolumes(10, 40),
  'creep.incident': () => doseFor(4.5 - 2.6, (dose) => creepVolumes(dose, Infinity)),
  'retention.pilot.alpha': alphaLeft(PILOT),
  'retention.pilot.oil': oilLeft(PILOT),
  'retention.industrial.alpha': alphaLeft(INDUSTRIAL),
  'retention.industrial.oil': oilLeft(INDUSTRIAL),
  'retention.order': spentRatio,
  'transfer.late.hydrocarbons': percentOf(late, ...HYDROCARBONS),
  'transfer.late.esters': percentOf(late, 'branched_isobutyrates'),
  'transfer.late.linalool': percentOf(late, 'linalool'),
  'transfer.dry.hydrocarbons': percentOf(dry, ...HYDROCARBONS),
  'transfer.dry.esters': percentOf(dry, 'branched_isobutyrates'),
  'transfer.dry.linalool': percentOf(dry, 'linalool'),
  'msp4.fresh.filtered': impliedDose(0.022, 'msp4', dry, ['Citra', 'Simcoe']),
  'msp4.fresh.unfiltered': impliedDose(0.015, 'msp4', dry, ['Citra', 'Simcoe']),
  'single.nelson.s3mp4': impliedDose(0.548, 's3mp4', late, ['Nelson Sauvin']),
  'single.nelson.msp4': impliedDose(0.128, 'msp4', late, ['Nelson Sauvin']),
  'single.saaz.profile': () => {
    const saaz: Trial = { ...late, hop: 'Saaz', dose: 2 };
    return thiolActivity(saaz) / thiolActivity({ ...saaz, dose: 0 });
  },
  'single.bound_release': sh3OverSupply,
  'kinetics.hydrocarbons.peak': () => hourOfMost('myrcene', 24),
  'kinetics.alcohols.rising': () => stirred('linalool', 30) / stirred('linalool', 24),
  'kinetics.alcohols.slower': () => {
    const share = (compound: CompoundId) => stirred(compound, 6) / stirred(compound, 1000);
    return share('linalool') / share('myrcene');
  },
  'humulinones.content': () => median(offered.map(({ name }) => humulinonePct(name))),
  'humulinones.age': () =>
    humulinonePct('Citra', { storage_index: 0.61 }) /
    humulinonePct('Citra', { storage_index: 0.32 }),
  'humulinones.highest': () =>
    24 /
    (10 *
      median(offered.map(({ name }) => humulinonePct(name))) *
      values['dry_hop.humulinone_transfer']),
  'humulinones.iso_after': () => 48 * shareAfterAdsorption(7.74, values['dry_hop.iso_adsorption']),
  'humulinones.ph': () => brew({ ...dry, dose: 3.87, analysis: { alpha_pct: 5 } }).totals.ph_rise,
  'market.linalool': () => medianOfTable('linalool'),
  'market.geraniol': () => medianOfTable('geraniol'),
  'market.citronellol': () => medianOfTable('citronellol'),
  'dose.efficiency': () =>
    transferred('linalool', { ...dry, dose: 16 }) / transferred('linalool', { ...dry, dose: 2 }),
  'chinook.dose': () => chinook(16, 24) / chinook(4, 24),
  'chinook.time': () => chinook(4, 72) / chinook(4, 6),
  'alpha.warm': () => alphaDry(19) / alphaDry(4),
  'adsorption.iso': () => shareAfterAdsorption(4, values['dry_hop.iso_adsorption']),
  'adsorption.ph': () => 1 + brew(leafy).totals.ph_rise / 4.2,
  'closed_steep.myrcene': () => closedOverLate('myrcene'),
  'closed_steep.linalool': () => closedOverLate('linalool'),
  'leaf.ph': () =>
    brew({ ...leafy, form: 'pellet_enriched', dose: dry.dose / 2 }).totals.ph_rise /
    brew(leafy).totals.ph_rise,
  'timing.linalool': () => timed('pitching', 'linalool') / timed('end', 'linalool'),
  'timing.geraniol.pitching': () => timed('pitching', 'geraniol') / timed('day3', 'geraniol'),
  'timing.geraniol.day3': () => timed('day3', 'geraniol') / timed('end', 'geraniol'),
  'timing.citronellol.most': () => timed('pitching', 'citronellol') / timed('end', 'citronellol'),
  'timing.citronellol.one': () => timed('end', 'citronellol') / timed('pitching', 'citronellol'),
  'course.green_beer': () => timed('pitching', 'citronellol') / timed('pitching', 'citronellol', 0),
  'course.geraniol': () => fermented('geraniol'),
  'course.citronellol': () => fermented('citronellol'),
};
