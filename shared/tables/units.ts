// Which measured figure stands for which column of the hop table, and in which units it may come.
// A unit with the factor `null` is known but not brought over: mg/kg by solvent extraction and
// percent of distilled oil are different things and are never merged.
import { OIL_COMPOUNDS, THIOLS, analyteOf, type AnalyteId } from '#shared/ids.ts';

/** What conversion needs from parameters.csv. */
export interface Constants {
  /** g/mL */
  readonly oilDensity: number;
  /** g of 3SH in 1 g of cysteinylated 3SH */
  readonly sh3InCys: number;
}

interface Measured {
  /** The column it fills; absent for figures that are kept but fill none. */
  readonly analyte?: AnalyteId;
  /** Unit -> factor to the unit of the column. */
  readonly units: Readonly<Record<string, number | null>>;
}

const kept = (...units: string[]): Measured => ({
  units: Object.fromEntries(units.map((unit) => [unit, null])),
});

const KEPT: Readonly<Record<string, Measured>> = {
  alpha_kept_6_months: kept('pct_of_initial_alpha'),
  hsi: kept('index'),
  humulene_caryophyllene_ratio: kept('ratio'),
  colupulone: kept('pct_of_beta'),
  msp4_rank: kept('rank_of_5'),
  methylbutyl_isobutyrate: kept('pct_of_oil'),
  sulfanyl_ethylpropyl_acetate: kept('ug/kg'),
  methyl_geranate: kept('mg/kg'),
  selinenes_total: kept('pct_of_oil', 'mg/kg'),
  total_polyphenols: kept('pct_w/w'),
  xanthohumol: kept('pct_w/w'),
};
const KEPT_PCT_OF_OIL = [
  'octanol_2',
  's_methyl_thiohexanoate',
  'alpha_pinene',
  'beta_ionone',
  'caryophyllene_oxide',
  'citral',
  'geranyl_acetate_peak1',
  'geranyl_acetate_peak2',
  'methyl_heptanoate',
  'methyl_laurate',
  'methyl_octanoate',
  'nerolidol_peak1',
  'nerolidol_peak2',
  'ocimene',
  'terpinolene',
  'unidentified_oil_fraction',
  'alpha_selinene',
  'beta_selinene',
  'aromadendrene',
  'geranyl_esters_total',
  'bergamotene',
];

const known = new WeakMap<Constants, ReadonlyMap<string, Measured>>();

/** Measured analyte -> column and units. The factors follow from the constants. */
export function measuredAnalytes(constants: Constants): ReadonlyMap<string, Measured> {
  const made = known.get(constants) ?? tableOf(constants);
  known.set(constants, made);
  return made;
}

function tableOf(constants: Constants): ReadonlyMap<string, Measured> {
  // g of oil per 100 g of hop to mL per 100 g
  const byMass = 1 / constants.oilDensity;
  const table: Record<string, Measured> = {
    alpha: { analyte: 'alpha_pct', units: { 'pct_w/w': 1 } },
    beta: { analyte: 'beta_pct', units: { 'pct_w/w': 1 } },
    cohumulone: { analyte: 'cohumulone_pct_of_alpha', units: { pct_of_alpha: 1 } },
    total_oil: {
      analyte: 'total_oil_ml_per_100g',
      // printed as plain percent: taken as mL/100 g, the usual unit of such tables
      units: { 'mL/100g': 1, 'pct_w/w': byMass, 'g/100g': byMass, 'pct_w/w_or_mL/100g': 1 },
    },
    g_sh3: { analyte: 'g_sh3_mg_per_kg', units: { 'mg/kg_as_conjugate': 1 } },
    cys_sh3: {
      analyte: 'cys_sh3_mg_per_kg',
      units: {
        'mg/kg_as_conjugate': 1,
        'ug/kg_as_3SH_released': 1 / constants.sh3InCys / 1000,
      },
    },
  };
  for (const compound of OIL_COMPOUNDS) {
    table[compound] = {
      analyte: analyteOf(compound),
      units: { pct_of_oil: 1, 'mg/100g': null, 'mg/kg': null },
    };
  }
  for (const thiol of THIOLS) {
    table[thiol] = { analyte: analyteOf(thiol), units: { 'ug/kg': 1 } };
  }
  for (const analyte of KEPT_PCT_OF_OIL) table[analyte] = kept('pct_of_oil');
  return new Map(Object.entries({ ...table, ...KEPT }));
}
