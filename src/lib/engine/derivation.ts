// How a figure of a design came about: from the id of its equation and what it is of
// (`equation/concentration/linalool`) to the equation with its numbers filled in, the rows behind it and
// how firm they are. The one entrance; which ids there are is told by `subjectName` of provenance.
import {
  AXES,
  COMPOUNDS,
  OIL_COMPOUNDS,
  analyteOf,
  type AxisId,
  type CompoundId,
} from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { provenanceId } from '#shared/provenance.ts';
import { bitternessOf } from './derive-bitter.ts';
import {
  concentrationOf,
  intensityOf,
  odourActivityOf,
  shelfAxisOf,
  shelfOf,
  signalOf,
} from './derive-compound.ts';
import type { AgedFigure } from './age.ts';
import type { Lot } from './composition.ts';
import { agedOf } from './derive-lot.ts';
import { withoutFigure, type Working } from './derive-rows.ts';
import {
  beerLostOf,
  co2Of,
  costLineOf,
  creepCo2Of,
  creepExtractOf,
  hopWeightOf,
  leafOf,
  phRiseOf,
  polyphenolsOf,
  pressureOf,
} from './derive-totals.ts';
import type { Design } from './design.ts';
import type { Model } from './model.ts';
import { analyteName, compoundName } from './names.ts';
import { PRESSURE_C } from './outlook.ts';
import { groundOf, leavesOf, linesOf, type Ground } from './ground.ts';
import type { Leaf, Line } from './terms.ts';

/** A figure, how it came about, and what stands behind it. */
export interface Derivation {
  /** The figure first, then every step it is worked out from. */
  readonly lines: readonly Line[];
  readonly leaves: readonly Leaf[];
  /** Shares by status of the hop figures and thresholds behind it; `null` where there are none. */
  readonly ground: Ground | null;
  /** Hops with a figure nobody gave: what it would add is not counted. */
  readonly missing: readonly string[];
}

export function workingOf(model: Model, design: Design): Working {
  return { model, design, lines: new Map() };
}

const AGED: readonly string[] = ['alpha_pct', 'total_oil_ml_per_100g', ...OIL_COMPOUNDS];
const isCompound = (id: string): id is CompoundId => (COMPOUNDS as readonly string[]).includes(id);
const isAxis = (id: string): id is AxisId => (AXES as readonly string[]).includes(id);

function compoundLine(working: Working, equation: string, id: CompoundId, month: string) {
  if (equation === 'concentration') return concentrationOf(working, id);
  if (equation === 'odour_activity') return odourActivityOf(working, id);
  return equation === 'shelf' ? shelfOf(working, id, Number(month)) : null;
}

function axisLine(working: Working, equation: string, id: AxisId, month: string) {
  const name = AXIS_NAMES[id];
  if (equation === 'signal') return signalOf(working, id, name);
  if (equation === 'intensity') return intensityOf(working, id, name);
  return equation === 'shelf_axes' ? shelfAxisOf(working, id, name, Number(month)) : null;
}

const TOTALS: Readonly<Record<string, (working: Working) => Line | null>> = {
  hop_weight: (w) => hopWeightOf(w, false),
  'hop_weight/per_l': (w) => hopWeightOf(w, true),
  leaf: leafOf,
  ibu: (w) => bitternessOf(w, 'ibu'),
  bitter_taste: (w) => bitternessOf(w, 'bitter_taste'),
  polyphenols: polyphenolsOf,
  beer_lost: beerLostOf,
  ph_rise: phRiseOf,
  cost: costLineOf,
  creep: creepExtractOf,
  creep_co2: creepCo2Of,
  'creep_co2/in_all': co2Of,
  carbonation: (w) => pressureOf(w, 'in_all', PRESSURE_C),
  'carbonation/planned': (w) => pressureOf(w, 'planned', PRESSURE_C),
};

/** What an equation may be of, beside itself: `/linalool`, `/citrus`, `/per_l`. */
const OF_COMPOUND = ['concentration', 'odour_activity', 'content', 'shelf'];
const OF_AXIS = ['signal', 'intensity', 'shelf_axes'];
const PARTS: Readonly<Record<string, string>> = {
  'hop_weight/per_l': 'Weight of hops per litre of beer, g/L',
  'creep_co2/in_all': 'Carbon dioxide in the package, planned and from hop creep, volumes',
  'carbonation/planned': 'Gauge pressure of the planned carbon dioxide, bar',
};

/** The name of an equation for one subject, as of one compound; `null` where it has no such. */
export function subjectName(
  equation: string,
  gives: string,
  [of = '', month]: readonly string[],
): string | null {
  const part = `${equation}/${of}`;
  if (month === undefined && Object.hasOwn(PARTS, part)) return PARTS[part]!;
  const shelf = equation.startsWith('shelf');
  if (shelf ? !/^\d+$/.test(month ?? '0') : month !== undefined) return null;
  const when = month === undefined ? '' : `, ${month} months`;
  const named = (subject: string) =>
    `${subject.charAt(0).toUpperCase()}${subject.slice(1)}${when}: ${spoken(gives)}`;
  if (OF_COMPOUND.includes(equation) && isCompound(of)) return named(compoundName(of));
  if (OF_AXIS.includes(equation) && isAxis(of)) return named(AXIS_NAMES[of]);
  if (equation === 'storage' && AGED.includes(of)) return named(analyteName(of));
  return null;
}

/** The figure of a design an id stands for; `null` where it is none that is worked out. */
export function lineOf(working: Working, id: string): Line | null {
  const parts = provenanceId(id);
  if (parts?.kind !== 'equation') return null;
  const total = Object.hasOwn(TOTALS, parts.rest) ? TOTALS[parts.rest] : undefined;
  if (total) return total(working);
  const [equation = '', of = '', month = ''] = parts.rest.split('/');
  if (isCompound(of)) return compoundLine(working, equation, of, month);
  return isAxis(of) ? axisLine(working, equation, of, month) : null;
}

function told(line: Line, missing: readonly string[]): Derivation {
  const lines = linesOf(line);
  return { lines, leaves: leavesOf(line), ground: groundOf(line.term), missing };
}

/** How a figure of a design came about; `null` where the id is none of a design. */
export function derivationOf(working: Working, id: string): Derivation | null {
  const found = lineOf(working, id);
  if (!found) return null;
  const bitter = found.equation === 'ibu' || found.equation === 'bitter_taste';
  const compound = COMPOUNDS.find((c) => id.split('/').includes(c));
  const analyte = bitter ? 'alpha_pct' : compound && analyteOf(compound);
  return told(found, analyte ? withoutFigure(working, analyte) : []);
}

/** How a figure of a lot came to what it is now: `equation/storage/alpha_pct` and so on. */
export function lotDerivationOf(model: Model, lot: Lot, id: string): Derivation | null {
  const [, figure = ''] = /^equation\/storage\/(.+)$/.exec(id) ?? [];
  if (!AGED.includes(figure)) return null;
  const batch = { beer_l: 1, yeast: 'standard', malt_g_per_l: 0 } as const;
  const working = workingOf(model, { name: '', batch, stages: {}, additions: [] });
  const found = agedOf(working, lot, figure as AgedFigure['figure']);
  return found && told(found, []);
}
