// The equations of the model by id: what each gives, and the sources of its form. Their arithmetic stands where
// they are defined, in the lines that carry these ids; formulas and parameters are read from those lines.

interface EquationWords {
  /** What the equation gives, in words, with the unit. */
  readonly gives: string;
  /**
   * Sources of its form; those of its figures stand with the parameters. Empty: plain arithmetic, or a rule of
   * our own.
   */
  readonly sources: readonly string[];
}

export const EQUATION_WORDS = {
  storage: { gives: 'Figures of a lot after storage', sources: ['NICK79', 'RUT23A', 'GARETZ94'] },
  content: { gives: 'Free compound in 1 g of hop, ug/g', sources: [] },
  alpha_content: { gives: 'Alpha acids in 1 g of hop, mg/g', sources: [] },
  humulinones: { gives: 'Humulinones in 1 g of hop, mg/g', sources: ['MAYE15', 'MCMIL23'] },
  bound_content: { gives: 'Bound 3SH in 1 g of hop, ug/g', sources: [] },
  dry_hop_extraction: {
    gives: 'Fraction of its final level that dry-hop extraction has reached',
    sources: ['WOLFE12', 'PARK17', 'OLAD17'],
  },
  dry_hop_yield: {
    gives: 'Share of a compound that a dry hop leaves in the beer',
    sources: ['GAHR19', 'LAF18'],
  },
  load_law: {
    gives: 'Share of the dry-hop yield left at the total dry-hop load',
    sources: ['LAF18'],
  },
  hot_steep_yield: {
    gives: 'Share of a compound that a hot steep leaves in the wort or beer',
    sources: ['GAHR19'],
  },
  boil_yield: {
    gives: 'Share of a compound that a boil and the stand after it leave in the wort or beer',
    sources: ['GAHR19'],
  },
  mash_yield: {
    gives: 'Share of a compound from the mash that is left after the boil',
    sources: [],
  },
  fermentation: {
    gives: 'Share of a compound left after fermentation, and citronellol gained',
    sources: ['TAKOI11', 'TAKOI10', 'KING00', 'RETT18'],
  },
  bound_release: { gives: '3SH the yeast sets free, ug/L', sources: ['CHEN22', 'MICH19'] },
  unit_dose: {
    gives: 'Compound that 1 g of hop brings into the beer, before the load, ug/g',
    sources: ['HOLT19'],
  },
  concentration: { gives: 'Compound in the beer, ug/L', sources: ['HOLT19'] },
  odour_activity: { gives: 'Odour activity value, times the threshold', sources: [] },
  leaf: { gives: 'Leaf of hot steep and dry hop, g of type 90 per L', sources: [] },
  reported_fit: {
    gives: 'What tasters report of a variety on an axis, as signal of 1 g/L in the beer',
    sources: [],
  },
  reported_dose: {
    gives: 'Signal that 1 g/L of hop brings by what tasters report of it, before the load',
    sources: [],
  },
  reported: { gives: 'Signal of an aroma axis by what tasters report of the hops', sources: [] },
  signal: { gives: 'Signal of an aroma axis', sources: [] },
  intensity: {
    gives: 'Intensity of an aroma axis, 1 just noticeable to 6 dominant',
    sources: ['PSY_TXT', 'LAF18'],
  },
  iso_fraction: { gives: 'Share of alpha acids isomerized by heat', sources: ['MAL05', 'JASK08'] },
  iso_alpha: { gives: 'Iso-alpha acids in the beer, mg/L', sources: ['MAYE16'] },
  dry_bitter: {
    gives: 'Humulinones and alpha acids from the dry hop, mg/L',
    sources: ['MAYE15', 'PARK17', 'BEERIBU', 'OLAD17'],
  },
  ibu: { gives: 'Bitterness as a spectrophotometer reads it, IBU', sources: ['BEER23'] },
  bitter_taste: {
    gives: 'Bitterness as tasted, mg/L of iso-alpha acids as bitter',
    sources: ['ALGAZ16'],
  },
  hop_weight: { gives: 'Weight of hops, g or g/L of beer', sources: [] },
  cost: { gives: 'Cost of the hops, in the money of the prices given', sources: [] },
  beer_lost: { gives: 'Beer held back by hops, L', sources: [] },
  ph_rise: { gives: 'Rise of pH by dry hops', sources: [] },
  polyphenols: { gives: 'Polyphenols from dry hops, mg/L', sources: ['DHFS21', 'OLAD17'] },
  creep: { gives: 'Extract set free by hop creep, P', sources: ['KIRK18'] },
  creep_co2: {
    gives: 'Carbon dioxide hop creep forms during the dry hop, volumes',
    sources: ['ALLA17', 'KIRK18', 'RATK82'],
  },
  creep_to_come: {
    gives: 'Carbon dioxide of hop creep still to come in a warm package, volumes',
    sources: ['ALLA17'],
  },
  carbonation: { gives: 'Gauge pressure in the package, bar', sources: ['CO2FIT'] },
  shelf: {
    gives: 'Compound in the beer after months on the shelf, ug/L',
    sources: ['REGL18', 'GAHR19'],
  },
  shelf_axes: { gives: 'Intensity of an aroma axis after months on the shelf', sources: [] },
  band: {
    gives: 'Band of 10 to 90 %, in the unit of the figure it stands beside',
    sources: [],
  },
  learning: {
    gives: 'What tastings and lab figures teach about a figure, and how they agree',
    sources: [],
  },
  noticeable: {
    gives: 'Largest change nobody should notice, as a fraction of a concentration',
    sources: ['PSY_TXT'],
  },
  mixing: {
    gives: 'Temperature of wort and liquor run together, or how cool the wort must be, C',
    sources: ['CRCWATER'],
  },
  strike: { gives: 'Temperature of the strike liquor, C', sources: ['PALMER'] },
  dilution: {
    gives: 'Volume and gravity of wort to which liquor is added, L and specific gravity',
    sources: [],
  },
  kettle: {
    gives: 'Volume and gravity of the wort before the boil, L and specific gravity',
    sources: ['CRCWATER'],
  },
  brew_days: { gives: 'Days and temperatures of the brew sheet that nobody gave', sources: [] },
  warnings: { gives: 'Figure that a warning is about, in the unit of its limit', sources: [] },
} as const satisfies Readonly<Record<string, EquationWords>>;

export type EquationId = keyof typeof EQUATION_WORDS;
export const EQUATION_IDS = Object.keys(EQUATION_WORDS) as EquationId[];

export function isEquationId(id: string): id is EquationId {
  return Object.hasOwn(EQUATION_WORDS, id);
}
