// The names of compounds and of figures of hop analyses, with their units: the same on screen, in a filled-in
// equation and in the terminal. This file does not read the hop table, so the first view need not load it.
import compoundRows from '#data/generated/compound-names.json' with { type: 'json' };
import type { AnalyteId, CompoundId } from '#shared/ids.ts';

const compoundNames = Object.fromEntries(compoundRows.map((c) => [c.id, c.name])) as Record<
  CompoundId,
  string
>;

export function compoundName(id: CompoundId): string {
  return compoundNames[id];
}

const PLAIN_ANALYTES: Readonly<Partial<Record<AnalyteId, string>>> = {
  alpha_pct: 'alpha acids',
  beta_pct: 'beta acids',
  cohumulone_pct_of_alpha: 'cohumulone',
  total_oil_ml_per_100g: 'total oil',
  g_sh3_mg_per_kg: 'bound 3SH (glutathione)',
  cys_sh3_mg_per_kg: 'bound 3SH (cysteine)',
};

/** The short sign of a compound where it has one ("4MSP"), else its name. */
export function compoundSign(id: CompoundId): string {
  return /\(([^)]+)\)$/.exec(compoundNames[id])?.[1] ?? compoundNames[id];
}

/** The name of a figure of a hop analysis; `id` may come from a message. */
export function analyteName(id: string): string {
  const plain = PLAIN_ANALYTES[id as AnalyteId];
  if (plain !== undefined) return plain;
  const compound = id.replace(/_(pct_of_oil|ug_per_kg)$/, '');
  if (compound in compoundNames) return compoundSign(compound as CompoundId);
  return id.replaceAll('_', ' ');
}

/** The unit of a figure of a hop analysis; its id ends in it. */
export function analyteUnit(id: AnalyteId): string {
  if (id === 'total_oil_ml_per_100g') return 'mL/100 g';
  if (id.endsWith('_pct_of_oil')) return '% of oil';
  if (id.endsWith('_pct_of_alpha')) return '% of alpha acids';
  if (id.endsWith('_ug_per_kg')) return 'µg/kg';
  return id.endsWith('_mg_per_kg') ? 'mg/kg' : '%';
}
