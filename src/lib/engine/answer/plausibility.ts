// Whether a design lies outside of what its sources call usual: doses that no longer pay, old hops, a
// steep that turns bitter, leaf, hop creep, losses, thiols nobody measured. Warns, changes no figure.
import type { Warning } from '#shared/answers/prediction.ts';
import { COMPOUNDS, THIOLS, type ThiolId } from '#shared/ids.ts';
import { kindNamed } from '#shared/stages/kinds.ts';
import { stagesOf } from '#shared/stages/stages.ts';
import type { GramsPerLitre, MilligramsPerLitre } from '#shared/units.ts';
import { warningText, type WarningFormat } from '#shared/answers/warnings.ts';
import { storageIndexOf } from '#engine/lot/ageing.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Design } from '#engine/predict/design.ts';
import { defaultValues, type Model, type ParameterId } from '#engine/tables/model.ts';
import { compiledBeer, type Point } from '#engine/predict/predict.ts';

const METRIC: WarningFormat = {
  dose: (gPerL) => `${Number(gPerL.toPrecision(2))} g/L`,
  plain: (value) => `${Number(value.toPrecision(2))}`,
  percent: (fraction) => `${Math.round(100 * fraction)} %`,
};

interface RaisedWarning {
  readonly id: Warning['id'];
  readonly severity: Warning['severity'];
  readonly figure?: number;
  readonly limit?: ParameterId;
  readonly hops?: readonly string[];
  /** Parameters that the warning cites besides its limits. */
  readonly from?: readonly ParameterId[];
}

/** Warns of the carbon dioxide in the package, planned and still to come from hop creep. */
function creepFinding({ batch }: Design, { totals }: Point, model: Model): RaisedWarning | null {
  const { parameters } = model;
  const extra = totals.creep_to_come_vol;
  const from: ParameterId[] = ['creep.per_load', 'creep.days', 'creep.yeast_rests'];
  const planned = batch.co2_vol;
  if (planned !== undefined && planned + extra >= parameters['warn.co2_vol'].central && extra > 0) {
    return {
      id: 'creep',
      severity: 'danger',
      figure: planned + extra,
      limit: 'warn.co2_vol',
      from,
    };
  }
  if (extra < parameters['warn.creep_co2_vol'].central) return null;
  return { id: 'creep', severity: 'care', figure: extra, limit: 'warn.creep_co2_vol', from };
}

/** Warns of lots used late in the process whose storage index is high, as measured or by their age. */
function oldHops(design: Design, model: Model): RaisedWarning | null {
  const beer = compiledBeer(model, design);
  const limit = defaultValues(model)['warn.storage_index'];
  const old = new Map<string, number>();
  for (const { lot, stage, grams } of design.additions) {
    if (grams === 0 || !beer.leavesLeaf(stage)) continue;
    const index = storageIndexOf(model, lot);
    if (index !== null && index > limit) old.set(lot.hop, Math.max(index, old.get(lot.hop) ?? 0));
  }
  if (old.size === 0) return null;
  return {
    id: 'storage_index',
    severity: 'care',
    figure: Math.max(...old.values()),
    limit: 'warn.storage_index',
    hops: [...old.keys()],
    from: ['storage.index_slope'],
  };
}

/** Warns of hops whose noticeable thiols nobody measured: free ones are estimated, bound ones set by class. */
function guessedThiols(design: Design, { oavs }: Point, model: Model): RaisedWarning | null {
  const beer = compiledBeer(model, design);
  const noticed = THIOLS.filter((thiol) => oavs[COMPOUNDS.indexOf(thiol)]! >= 1);
  const free = (lot: Lot, thiol: ThiolId) => lot.figures[`${thiol}_ug_per_kg`]?.status;
  const hops = new Set<string>();
  for (const { lot, stage, grams } of design.additions) {
    if (grams === 0) continue;
    const estimated = noticed.some((thiol) => free(lot, thiol) === 'estimated');
    const released =
      design.batch.yeast === 'thiol_releasing' &&
      beer.freesThiols(stage) &&
      noticed.some((thiol) => thiol === 'sh3' || thiol === 'sha3');
    if (estimated || (released && !lot.figures.g_sh3_mg_per_kg)) hops.add(lot.hop);
  }
  if (hops.size === 0) return null;
  return {
    id: 'thiols_by_class',
    severity: 'note',
    hops: [...hops],
    from: ['precursor.g_sh3.unknown', 'spread.component'],
  };
}

/** Iso-alpha acids that the steeps of a design bring, mg/L. */
function steepIso({ stages }: Design, isoAlpha: Point['isoAlpha']): MilligramsPerLitre {
  const steeps = stagesOf(stages).filter(({ kind }) => kind === 'hot_steep');
  return steeps.reduce((sum, { key }) => sum + (isoAlpha.get(key) ?? 0), 0);
}

/** The heaviest dose of a single hot stage, g/L. */
function heaviestHot({ batch, stages, additions }: Design): GramsPerLitre {
  const hot = stagesOf(stages).filter(({ kind }) => !kindNamed(kind).isCold);
  const doses = hot.map(({ key }) =>
    additions.reduce((sum, a) => sum + (a.stage === key ? a.grams : 0), 0),
  );
  return Math.max(0, ...doses) / batch.beer_l;
}

const GRAVEST_FIRST: readonly Warning['severity'][] = ['danger', 'care', 'note'];
const rank = ({ severity }: RaisedWarning) => GRAVEST_FIRST.indexOf(severity);

/** Warnings about a design from its prediction at the defaults, the gravest first. */
export function warningsOf(model: Model, design: Design, point: Point): Warning[] {
  const values = defaultValues(model);
  const over = (
    id: Warning['id'],
    figure: number,
    limit: ParameterId,
    applies = true,
  ): RaisedWarning | null =>
    applies && figure > values[limit] ? { id, severity: 'note', figure, limit } : null;
  /** A warning: `note` above one limit, `care` above a higher one. */
  const farOver = (id: Warning['id'], figure: number, limit: ParameterId, care: ParameterId) =>
    figure > values[care]
      ? { id, severity: 'care' as const, figure, limit: care }
      : over(id, figure, limit);
  const { totals, isoAlpha } = point;
  const fromSteep = steepIso(design, isoAlpha);
  const steepShare = totals.ibu > 0 ? fromSteep / totals.ibu : 0;
  const findings: (RaisedWarning | null)[] = [
    creepFinding(design, point, model),
    oldHops(design, model),
    farOver('dry_load', point.dryHopLoad, 'warn.dry_load', 'warn.dry_load_care'),
    over('steep_bitter', steepShare, 'warn.steep_ibu_share', fromSteep > values['warn.steep_ibu']),
    over('hot_dose', heaviestHot(design), 'warn.hot_dose'),
    over('leaf', totals.leaf_g_per_l, 'leaf.grassy_threshold'),
    farOver(
      'beer_lost',
      totals.beer_lost_l / design.batch.beer_l,
      'warn.loss_share',
      'warn.loss_share_care',
    ),
    guessedThiols(design, point, model),
  ];
  return findings
    .filter((finding) => finding !== null)
    .sort((a, b) => rank(a) - rank(b))
    .map(({ id, severity, figure = null, limit, hops = [], from = [] }) => {
      const cited = [...(limit ? [limit] : []), ...from].flatMap(
        (p) => model.parameters[p].sources,
      );
      const warning = {
        id,
        severity,
        figure,
        limit: limit ? values[limit] : null,
        hops,
        sources: [...new Set(cited)],
      };
      return { ...warning, text: warningText(warning, METRIC) };
    });
}
