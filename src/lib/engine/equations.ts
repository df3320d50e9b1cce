// Every equation of the model once: what it gives, in symbols, from which process parameters and which
// other equations. So any figure can be followed down to the rows it stands on. Computes nothing; a
// test moves each parameter and holds these words against what the engine does.
import { defaultValues, model, type ParameterId } from './model.ts';

export interface Equation {
  /** What it gives, in words, with the unit. */
  readonly gives: string;
  readonly formula: string;
  /** Ids of parameters; `*` stands for one part of an id. */
  readonly parameters: readonly string[];
  readonly buildsOn: readonly EquationId[];
  /** Other rows it reads: figures of hops, odour thresholds, descriptor weights. */
  readonly reads?: readonly ('cell' | 'threshold' | 'weight')[];
  /** Of its form; those of its figures stand with the parameters. Empty: arithmetic or our own rule. */
  readonly sources: readonly string[];
}

export const EQUATION_IDS = [
  'storage',
  'content',
  'alpha_content',
  'bound_content',
  'dry_hop_extraction',
  'dry_hop_yield',
  'hot_steep_yield',
  'mash_yield',
  'fermentation',
  'bound_release',
  'concentration',
  'odour_activity',
  'leaf',
  'signal',
  'intensity',
  'iso_fraction',
  'iso_alpha',
  'dry_bitter',
  'ibu',
  'bitter_taste',
  'hop_weight',
  'cost',
  'beer_lost',
  'ph_rise',
  'polyphenols',
  'creep',
  'creep_co2',
  'carbonation',
  'shelf',
  'shelf_axes',
  'band',
  'noticeable',
  'warnings',
] as const;
export type EquationId = (typeof EQUATION_IDS)[number];

export const EQUATIONS: Readonly<Record<EquationId, Equation>> = {
  storage: {
    gives: 'Figures of a lot after storage',
    formula:
      'x = −ln(1 − slope/100 · log10(HSI/fresh)), or rate · 2^((T − T_ref)/doubling) · v · months; alpha · e^(−x); h_i · e^(−class · oil_over_alpha · x)',
    parameters: [
      'storage.alpha_rate.*',
      'storage.doubling',
      'storage.oil_over_alpha.*',
      'storage.oil_class.*',
      'storage.index_fresh',
      'storage.index_slope',
    ],
    buildsOn: [],
    reads: ['cell'],
    sources: ['NICK79', 'RUT23A', 'GARETZ94'],
  },
  content: {
    gives: 'Free compound in 1 g of hop, ug/g',
    formula:
      'h_i = 100 · oil · w_i · density · area_to_mass · f; of thiols x_i · f/1000; where all w_i exceed 100 %, those not analysed · (100 − analysed)/rest',
    parameters: ['oil.density', 'oil.area_to_mass', 'form.*.concentration'],
    buildsOn: ['storage'],
    reads: ['cell'],
    sources: [],
  },
  alpha_content: {
    gives: 'Alpha acids in 1 g of hop, mg/g',
    formula: 'alpha = 10 · alpha_pct · f',
    parameters: ['form.*.concentration'],
    buildsOn: ['storage'],
    reads: ['cell'],
    sources: [],
  },
  bound_content: {
    gives: 'Bound 3SH in 1 g of hop, ug/g',
    formula: 'g = measured or by class, · f_bound; cys = measured or cys_share · g',
    parameters: ['precursor.g_sh3.*', 'precursor.cys_share', 'form.*.bound_thiols'],
    buildsOn: [],
    reads: ['cell'],
    sources: [],
  },
  dry_hop_extraction: {
    gives: 'Part of its final level that what a dry hop gives has reached',
    formula: 'e = 1 − exp(−k · q10^((T − 20)/10) · hours)',
    parameters: ['dry_hop.rate.*', 'dry_hop.q10'],
    buildsOn: [],
    sources: ['WOLFE12', 'PARK17', 'OLAD17'],
  },
  dry_hop_yield: {
    gives: 'Share of a compound that a dry hop leaves in the beer',
    formula: 'Y = yield · (1 − exp(−k · q10^((T − 20)/10) · hours))/(1 + D_total/D50)',
    parameters: ['dry_hop.yield.*', 'dry_hop.half_load.*'],
    buildsOn: ['dry_hop_extraction'],
    sources: ['GAHR19', 'LAF18'],
  },
  hot_steep_yield: {
    gives: 'Share of a compound that a hot steep leaves in the wort or beer',
    formula:
      'open: Y = yield · E/E_ref · exp(B · (V_ref − V)), at most 1; closed: Y = closed_yield · min(1, E/E_ref), not below open for alcohols, esters and thiols',
    parameters: [
      'hot_steep.yield.*',
      'hot_steep.closed_yield.*',
      'hot_steep.evaporation_share',
      'hot_steep.evaporation_temperature',
      'hot_steep.extraction_rate',
      'hot_steep.extraction_halving',
      'hot_steep.cooling_approach',
      'boil.rate.*',
    ],
    buildsOn: [],
    sources: ['GAHR19'],
  },
  mash_yield: {
    gives: 'Share of a compound from the mash that is left after the boil',
    formula: 'Y = lauter · exp(−rate · boil_minutes)',
    parameters: ['mash.lauter', 'boil.rate.*'],
    buildsOn: [],
    sources: [],
  },
  fermentation: {
    gives: 'Share of a compound left after fermentation, and citronellol gained, ug/L',
    formula:
      'c_i · survival; linalool, geraniol · (1 + glycoside_gain); citronellol += ((1 − survival) · gain) · geraniol · M_citronellol/M_geraniol; a dry hop on live yeast: green = survival^fermentation_left, left = green · survival^(gain · a), citronellol += ((1 − green) · gain + green − left) · …; a = maturation_rate · maturation_q10^((T − 20)/10) · (hours/24 − fermentation_left · days)/days, at least 0',
    parameters: [
      'ferment.survival.*',
      'ferment.citronellol_gain',
      'ferment.glycoside_gain',
      'ferment.days',
      'ferment.maturation_rate',
      'ferment.maturation_q10',
      'dry_hop.fermentation_left',
    ],
    buildsOn: [],
    sources: ['TAKOI11', 'TAKOI10', 'KING00', 'RETT18'],
  },
  bound_release: {
    gives: '3SH the yeast sets free, ug/L',
    formula:
      'released = cys_to_sh3 · cys · cys_release + g_to_sh3 · g · g_release; cys, g at pitching = bound · survival (· mash_release for cys of mash and malt)',
    parameters: [
      'precursor.survival.*',
      'precursor.mash_release',
      'precursor.cys_to_sh3',
      'precursor.g_to_sh3',
      'malt.*',
      'yeast.*.cys_release',
      'yeast.*.g_release',
    ],
    buildsOn: ['bound_content'],
    sources: ['CHEN22', 'MICH19'],
  },
  concentration: {
    gives: 'Compound in the beer, ug/L',
    formula:
      'c_i = sum of D · h_i · Y · survival; 3SH = (free + released) · (1 − acetate_share); 3SHA = own + (free + released) · acetate_share · M_3SHA/M_3SH',
    parameters: ['yeast.acetate_share'],
    buildsOn: [
      'content',
      'dry_hop_yield',
      'hot_steep_yield',
      'mash_yield',
      'fermentation',
      'bound_release',
    ],
    sources: ['HOLT19'],
  },
  odour_activity: {
    gives: 'Odour activity value, times the threshold',
    formula: 'OAV_i = c_i/threshold_i',
    parameters: [],
    buildsOn: ['concentration'],
    reads: ['threshold'],
    sources: [],
  },
  leaf: {
    gives: 'Leaf of hot steep and dry hop, g of type 90 per L',
    formula: 'leaf = sum of D · form leaf',
    parameters: ['form.*.leaf'],
    buildsOn: [],
    sources: [],
  },
  signal: {
    gives: 'Signal of an aroma axis',
    formula: 'S_a = sum of weight_ai · OAV_i; leaf/grassy_threshold in place of a compound',
    parameters: ['leaf.grassy_threshold'],
    buildsOn: ['odour_activity', 'leaf'],
    reads: ['weight'],
    sources: [],
  },
  intensity: {
    gives: 'Intensity of an aroma axis, 1 just noticeable to 6 dominant',
    formula: 'I_a = S_a^stevens',
    parameters: ['aroma.stevens'],
    buildsOn: ['signal'],
    sources: ['PSY_TXT'],
  },
  iso_fraction: {
    gives: 'Share of alpha acids isomerized by heat',
    formula:
      'k = a · exp(−b/T); fraction = k1/(k2 − k1) · (exp(−k1 t) − exp(−k2 t)); integrated with T(t) where the steep cools',
    parameters: ['iso.a1', 'iso.b1', 'iso.a2', 'iso.b2', 'hot_steep.cooling_approach'],
    buildsOn: [],
    sources: ['MAL05', 'JASK08'],
  },
  iso_alpha: {
    gives: 'Iso-alpha acids in the beer, mg/L',
    formula:
      'iso = (min(alpha_mash, cap) · fraction(boil) + min(alpha_steep, cap) · fraction(steep)) · to_beer · exp(−adsorption · D_total)',
    parameters: [
      'iso.hot_alpha_cap',
      'iso.to_beer',
      'dry_hop.iso_adsorption',
      'mash.alpha_to_kettle',
    ],
    buildsOn: ['iso_fraction', 'alpha_content'],
    sources: ['MAYE16'],
  },
  dry_bitter: {
    gives: 'Humulinones and alpha acids from the dry hop, mg/L',
    formula:
      'D · humulinones · f · humulinone_transfer · e; min(D · alpha · alpha_transfer · e, alpha_cap)',
    parameters: [
      'dry_hop.humulinones',
      'dry_hop.humulinone_transfer',
      'dry_hop.alpha_transfer',
      'dry_hop.alpha_cap',
      'form.*.concentration',
    ],
    buildsOn: ['alpha_content', 'dry_hop_extraction'],
    sources: ['MAYE15', 'PARK17'],
  },
  ibu: {
    gives: 'Bitterness as a spectrophotometer reads it, IBU',
    formula: 'IBU = iso + weight_humulinone · humulinones + weight_alpha · alpha_dry',
    parameters: ['ibu.weight.*'],
    buildsOn: ['iso_alpha', 'dry_bitter'],
    sources: ['BEER23'],
  },
  bitter_taste: {
    gives: 'Bitterness as tasted, mg/L of iso-alpha acids as bitter',
    formula: 'taste = iso + weight_humulinone · humulinones + weight_alpha · alpha_dry',
    parameters: ['taste.weight.*'],
    buildsOn: ['iso_alpha', 'dry_bitter'],
    sources: ['ALGAZ16'],
  },
  hop_weight: {
    gives: 'Weight of hops, g or g/L of beer',
    formula: 'sum of grams; sum of grams/volume',
    parameters: [],
    buildsOn: [],
    sources: [],
  },
  cost: {
    gives: 'Cost of the hops, in the money of the prices given',
    formula: 'sum of grams · price_per_kg/1000',
    parameters: [],
    buildsOn: [],
    sources: [],
  },
  beer_lost: {
    gives: 'Beer held back by hops, L',
    formula: 'sum of grams · loss/1000',
    parameters: ['loss.dry_hop.*', 'loss.hot_steep', 'loss.mash'],
    buildsOn: [],
    sources: [],
  },
  ph_rise: {
    gives: 'Rise of pH by dry hops',
    formula: 'sum of D_dry · form leaf · rise',
    parameters: ['ph.rise'],
    buildsOn: ['leaf'],
    sources: [],
  },
  polyphenols: {
    gives: 'Polyphenols from dry hops, mg/L',
    formula: 'sum of D_dry · form leaf · gain · e',
    parameters: ['polyphenol.gain'],
    buildsOn: ['leaf', 'dry_hop_extraction'],
    sources: ['DHFS21', 'OLAD17'],
  },
  creep: {
    gives: 'Extract set free by hop creep, P',
    formula: 'E(t) = min(per_load · L, cap) · (1 − exp(−t/days)); L leaf of the dry hop',
    parameters: ['creep.per_load', 'creep.cap', 'creep.days'],
    buildsOn: ['leaf'],
    sources: ['KIRK18'],
  },
  creep_co2: {
    gives: 'Carbon dioxide hop creep may form in the package, volumes',
    formula: 'co2_vol · (E(∞) − E(dry hop)); E(dry hop) only on live yeast',
    parameters: ['creep.co2_vol'],
    buildsOn: ['creep'],
    sources: ['ALLA17'],
  },
  carbonation: {
    gives: 'Gauge pressure in the package, bar',
    formula: 'psi = constant + t · F + t2 · F² + tv · F · V + v · V + v2 · V²',
    parameters: ['carbonation.*'],
    buildsOn: ['creep_co2'],
    sources: ['CO2FIT'],
  },
  shelf: {
    gives: 'Compound in the beer after months on the shelf, ug/L',
    formula: 'c_i(t) = c_i · exp(−k t); k = rate · exp(−energy/R · (1/T − 1/293.15))',
    parameters: ['shelf.rate.*', 'shelf.energy.*'],
    buildsOn: ['concentration'],
    sources: ['REGL18', 'GAHR19'],
  },
  shelf_axes: {
    gives: 'Intensity of an aroma axis after months on the shelf',
    formula: 'I_a of c_i(t) and the leaf of the day',
    parameters: ['leaf.grassy_threshold', 'aroma.stevens'],
    buildsOn: ['shelf', 'leaf'],
    reads: ['threshold', 'weight'],
    sources: [],
  },
  band: {
    gives: 'Band of 10 to 90 %, in the unit of the figure it stands beside',
    formula:
      '10 and 90 % point of 500 draws of every uncertain parameter, threshold and lot figure',
    parameters: ['spread.*', 'lot.*'],
    buildsOn: [],
    reads: ['cell', 'threshold'],
    sources: [],
  },
  noticeable: {
    gives: 'Change nobody should notice, as a fraction of a concentration',
    formula: 'S_before/(1 + jnd) ≤ S ≤ S_before · (1 + jnd)',
    parameters: ['aroma.jnd'],
    buildsOn: ['signal'],
    sources: ['PSY_TXT'],
  },
  warnings: {
    gives: 'What is warned of, in the unit of its limit',
    formula: 'figure of the design against its limit',
    parameters: ['warn.*', 'leaf.grassy_threshold'],
    buildsOn: ['creep_co2', 'storage', 'ibu', 'leaf', 'beer_lost', 'bound_content'],
    reads: ['cell'],
    sources: [],
  },
};

export function isEquationId(id: string): id is EquationId {
  return Object.hasOwn(EQUATIONS, id);
}

const PARAMETER_IDS = Object.keys(defaultValues(model)) as ParameterId[];

/** Parameters an id with `*` stands for. */
function matching(pattern: string): ParameterId[] {
  const parts = pattern.replaceAll('.', '\\.').replaceAll('*', '[^.]+');
  const whole = new RegExp(`^${parts}$`);
  return PARAMETER_IDS.filter((id) => whole.test(id));
}

/** Parameters that stand in an equation itself. */
export function parametersOf(id: EquationId): ParameterId[] {
  return [...new Set(EQUATIONS[id].parameters.flatMap(matching))];
}

/** An equation and all it builds on, each once, itself first. */
export function chainOf(id: EquationId): EquationId[] {
  const chain = new Set<EquationId>([id]);
  for (const member of chain) for (const below of EQUATIONS[member].buildsOn) chain.add(below);
  return [...chain];
}

/** Equations a parameter stands in. */
export function equationsWith(parameter: ParameterId): EquationId[] {
  return EQUATION_IDS.filter((id) => parametersOf(id).includes(parameter));
}
