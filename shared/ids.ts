// The closed lists of names used everywhere: compounds, aroma axes, forms, yeasts, analytes.
// An id carries its unit where it is a figure. Adding a name here makes the type checker point at
// every table that must learn it.

/** Aroma compounds the model follows, in fixed order (vectors are indexed by it). */
export const COMPOUNDS = [
  'myrcene',
  'limonene',
  'beta_pinene',
  'linalool',
  'geraniol',
  'citronellol',
  'nerol',
  'geranyl_acetate',
  'branched_isobutyrates',
  'humulene',
  'humulene_epoxides',
  'caryophyllene',
  'farnesene',
  'undecanone_2',
  'sh3',
  'sha3',
  'msp4',
  's3mp4',
] as const;
export type CompoundId = (typeof COMPOUNDS)[number];

/** Compounds a hop carries as free thiols, given in ug/kg of hop instead of % of oil. */
export const THIOLS = ['sh3', 'sha3', 'msp4', 's3mp4'] as const;
export type ThiolId = (typeof THIOLS)[number];
export type OilCompoundId = Exclude<CompoundId, ThiolId>;
export const OIL_COMPOUNDS = COMPOUNDS.filter(
  (c): c is OilCompoundId => !(THIOLS as readonly string[]).includes(c),
);

/** Aroma axes of a profile, in the order they stand around the radar. */
export const AXES = [
  'citrus',
  'tropical',
  'stone_fruit',
  'berry',
  'floral',
  'resin',
  'herbal_spice',
  'woody_earthy',
  'grassy',
  'onion_garlic',
] as const;
export type AxisId = (typeof AXES)[number];

/** Hop products by kind. */
export const FORMS = ['pellet_90', 'pellet_enriched', 'cone'] as const;
export type FormId = (typeof FORMS)[number];

/** Yeast by kind. */
export const YEASTS = ['standard', 'thiol_releasing'] as const;
export type YeastId = (typeof YEASTS)[number];

/**
 * Where a figure comes from: `seen` measured and read in a paper or from an institute, `printed` read as a range with
 * no laboratory named, `reported` fitted to what tasters say; of the user's own `analysis`, that of a lot, and
 * `yours`, a row of own tables.
 */
export const STATUSES = [
  'seen',
  'derived',
  'printed',
  'memory',
  'reported',
  'estimated',
  'analysis',
  'yours',
] as const;
export type Status = (typeof STATUSES)[number];

/** Those that figures of the published tables may have. */
export const TABLE_STATUSES = [
  'seen',
  'derived',
  'printed',
  'memory',
  'reported',
  'estimated',
] as const satisfies readonly Status[];

/** Statuses of figures that nobody measured: recalled, reported by tasters in words, or estimated. */
export const WEAK_STATUSES = ['memory', 'reported', 'estimated'] as const satisfies Status[];

/** How much of shares or counts by status is weak, in their unit. */
export function weakOf(of: Readonly<Record<Status, number>>): number {
  return WEAK_STATUSES.reduce((sum, status) => sum + of[status], 0);
}

/**
 * Whose odour thresholds are used. Panels differ by up to a factor of 35: Japanese ones tasted mostly in dilute
 * ethanol, US ones in beer; `middle` lies between all figures known.
 */
export const SCHOOLS = ['middle', 'japanese', 'us'] as const;
export type SchoolId = (typeof SCHOOLS)[number];
/** The schools with figures of their own. */
export const OWN_SCHOOLS = ['japanese', 'us'] as const satisfies readonly SchoolId[];

export const TENDENCIES = ['low', 'medium', 'high', 'unknown'] as const;
/** How much bound 3SH (glutathionylated precursor) a variety tends to carry. */
export type Tendency = (typeof TENDENCIES)[number];

export const THIOL_CLASSES = ['free', 'bound', 'both', 'low', 'unknown'] as const;
/** Which pool of thiols, if any, a variety is worth buying for. */
export type ThiolClass = (typeof THIOL_CLASSES)[number];

export type OilAnalyteId = `${OilCompoundId}_pct_of_oil`;
export type ThiolAnalyteId = `${ThiolId}_ug_per_kg`;

/** Figures a hop analysis can hold; the id names the unit. Also the columns of the hop table. */
export const ANALYTES = [
  'alpha_pct',
  'beta_pct',
  'cohumulone_pct_of_alpha',
  'total_oil_ml_per_100g',
  ...OIL_COMPOUNDS.map((c): OilAnalyteId => `${c}_pct_of_oil`),
  ...THIOLS.map((c): ThiolAnalyteId => `${c}_ug_per_kg`),
  'g_sh3_mg_per_kg',
  'cys_sh3_mg_per_kg',
] as const;
export type AnalyteId =
  | 'alpha_pct'
  | 'beta_pct'
  | 'cohumulone_pct_of_alpha'
  | 'total_oil_ml_per_100g'
  | OilAnalyteId
  | ThiolAnalyteId
  | 'g_sh3_mg_per_kg'
  | 'cys_sh3_mg_per_kg';

/** The figures without which a hop is not offered to the optimizer. */
export const REQUIRED_ANALYTES = [
  'alpha_pct',
  'total_oil_ml_per_100g',
  'myrcene_pct_of_oil',
  'humulene_pct_of_oil',
  'linalool_pct_of_oil',
  'geraniol_pct_of_oil',
] as const satisfies readonly AnalyteId[];

/** The analyte that says how much of a compound a hop carries free. */
export function analyteOf(compound: CompoundId): OilAnalyteId | ThiolAnalyteId {
  return isThiol(compound) ? `${compound}_ug_per_kg` : `${compound}_pct_of_oil`;
}

export function isThiol(compound: CompoundId): compound is ThiolId {
  return (THIOLS as readonly string[]).includes(compound);
}
