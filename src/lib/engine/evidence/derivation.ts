// How a figure of a design was computed: from an id made of its equation and its subject
// (`equation/concentration/linalool`) to the equation with its numbers filled in, the rows behind it and how
// firm they are. Other code asks for derivations here; `subjectName` says which subjects an equation has.
import {
  AXES,
  COMPOUNDS,
  OIL_COMPOUNDS,
  analyteOf,
  type AnalyteId,
  type AxisId,
  type CompoundId,
} from '#shared/ids.ts';
import { AXIS_NAMES, spoken } from '#shared/words.ts';
import { provenanceId } from '#shared/evidence/provenance.ts';
import type { Lot } from '#engine/lot/composition.ts';
import type { Model } from '#engine/tables/model.ts';
import { analyteName, compoundName } from '#engine/tables/names.ts';
import { PRESSURE_C } from '#engine/answer/outlook.ts';
import { ageingOf, type AgeingFigure } from '#engine/lot/content.ts';
import { Beer } from '#engine/predict/beer.ts';
import { co2InPackage, pressureLine } from '#engine/predict/carbonation.ts';
import { costLine } from '#engine/predict/cost.ts';
import type { Design } from '#engine/predict/design.ts';
import { dosedIn, lotsOf } from '#engine/predict/predict.ts';
import { shelfConcentration, shelfIntensity, shelfTemperature } from '#engine/predict/shelf.ts';
import { processOf } from '#engine/process/process.ts';
import { Lines } from '#engine/symbols/rows.ts';
import {
  evidenceShares,
  leavesOf,
  linesOf,
  type EvidenceShares,
} from '#engine/symbols/standing.ts';
import type { Leaf, Line } from '#engine/symbols/term.ts';

/** A figure, how it was computed, and the evidence behind it. */
export interface Derivation {
  /** The figure itself first, then every step it is computed from. */
  readonly lines: readonly Line[];
  readonly leaves: readonly Leaf[];
  /** Shares of the hop figures and thresholds behind it by status; `null` where there are none. */
  readonly shares: EvidenceShares | null;
  /** Hops with an unknown figure: what it would add is not counted. */
  readonly missing: readonly string[];
}

/** A design with its beer in symbols. */
export interface Working {
  readonly design: Design;
  readonly beer: Beer;
}

export function workingOf(model: Model, design: Design): Working {
  const process = processOf(model, design.batch, design.stages);
  return { design, beer: new Beer(process, dosedIn(design)) };
}

const AGED: readonly string[] = ['alpha_pct', 'total_oil_ml_per_100g', ...OIL_COMPOUNDS];
const isCompound = (id: string): id is CompoundId => (COMPOUNDS as readonly string[]).includes(id);
const isAxis = (id: string): id is AxisId => (AXES as readonly string[]).includes(id);

function compoundLine({ design, beer }: Working, equation: string, id: CompoundId, month: string) {
  if (equation === 'concentration') return beer.concentration(id);
  if (equation === 'odour_activity') return beer.odourActivity(id);
  if (equation !== 'shelf') return null;
  return shelfConcentration(beer.process, beer, id, Number(month), shelfTemperature(design.batch));
}

function axisLine({ design, beer }: Working, equation: string, id: AxisId, month: string) {
  if (equation === 'signal') return beer.signal(id);
  if (equation === 'reported') return beer.reported(id);
  if (equation === 'intensity') return beer.intensity(id);
  if (equation !== 'shelf_axes') return null;
  return shelfIntensity(beer.process, beer, id, Number(month), shelfTemperature(design.batch));
}

const TOTALS: Readonly<Record<string, (working: Working) => Line | null>> = {
  hop_weight: ({ beer }) => beer.hopWeight(),
  'hop_weight/per_l': ({ beer }) => beer.hopsPerLitre(),
  leaf: ({ beer }) => beer.leaf(),
  ibu: ({ beer }) => beer.bitterness('ibu'),
  bitter_taste: ({ beer }) => beer.bitterness('bitter_taste'),
  polyphenols: ({ beer }) => beer.polyphenols(),
  beer_lost: ({ beer }) => beer.beerLost(),
  ph_rise: ({ beer }) => beer.phRise(),
  cost: ({ design }) => costLine(design),
  creep: ({ beer }) => beer.creepExtract(),
  creep_co2: ({ beer }) => beer.creepCo2(),
  creep_to_come: ({ beer }) => beer.creepToCome(),
  'creep_to_come/in_all': ({ beer }) => co2InPackage(beer),
  carbonation: ({ beer }) => pressureLine(beer, 'in_all', PRESSURE_C),
  'carbonation/planned': ({ beer }) => pressureLine(beer, 'planned', PRESSURE_C),
};

/** Subjects that an equation may have: `/linalool`, `/citrus`, `/per_l`. */
const OF_COMPOUND = ['concentration', 'odour_activity', 'content', 'shelf'];
const OF_AXIS = ['signal', 'intensity', 'reported', 'shelf_axes'];
const PARTS: Readonly<Record<string, string>> = {
  'hop_weight/per_l': 'Weight of hops per litre of beer, g/L',
  'creep_to_come/in_all': 'Carbon dioxide in the package, planned and from hop creep, volumes',
  'carbonation/planned': 'Gauge pressure of the planned carbon dioxide, bar',
};

/** The name of an equation for one subject, such as one compound; `null` where it has no such subject. */
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

/** The line of a design that an id stands for; `null` where the id is of no computed figure. */
export function lineOf(working: Working, id: string): Line | null {
  const parts = provenanceId(id);
  if (parts?.kind !== 'equation') return null;
  const total = Object.hasOwn(TOTALS, parts.rest) ? TOTALS[parts.rest] : undefined;
  if (total) return total(working);
  const [equation = '', of = '', month = ''] = parts.rest.split('/');
  if (isCompound(of)) return compoundLine(working, equation, of, month);
  return isAxis(of) ? axisLine(working, equation, of, month) : null;
}

function traced(line: Line, missing: readonly string[]): Derivation {
  const lines = linesOf(line);
  return { lines, leaves: leavesOf(line), shares: evidenceShares(line), missing };
}

/** Hops of a design for which a figure is not known. */
function withoutFigure(design: Design, analyte: AnalyteId): string[] {
  const without = lotsOf(design).filter((lot) => lot.unknown.includes(analyte));
  return [...new Set(without.map((lot) => lot.hop))];
}

/** How a figure of a design was computed; `null` where the id belongs to no figure of a design. */
export function derivationOf(working: Working, id: string): Derivation | null {
  const found = lineOf(working, id);
  if (!found) return null;
  const bitter = found.equation === 'ibu' || found.equation === 'bitter_taste';
  const compound = COMPOUNDS.find((c) => id.split('/').includes(c));
  const analyte = bitter ? 'alpha_pct' : compound && analyteOf(compound);
  return traced(found, analyte ? withoutFigure(working.design, analyte) : []);
}

/** How a figure of a lot aged to its value today: `equation/storage/alpha_pct` and so on. */
export function lotDerivationOf(model: Model, lot: Lot, id: string): Derivation | null {
  const [, figure = ''] = /^equation\/storage\/(.+)$/.exec(id) ?? [];
  if (!AGED.includes(figure)) return null;
  const ageing = ageingOf(new Lines(model), lot, figure as AgeingFigure);
  return ageing && traced(ageing.now, []);
}
