// The columns of a list of stored lots or of a hop schedule: what each is called by us, what the trade
// heads it with, and the unit its figures stand in. Headers are matched by this table only; the person
// sees and changes it.
import { ANALYTES, type AnalyteId } from '#shared/ids.ts';
import { GRAMS_PER_OUNCE, GRAMS_PER_POUND } from '#shared/units.ts';

/** Fields of a candidate itself, neither of its storage nor of its analysis. */
const CANDIDATE_COLUMNS = [
  'hop',
  'form',
  'grams_on_hand',
  'price_per_kg',
  'package_g',
  'harvest_year',
] as const;

/** Fields of a stored lot that are columns of their own, in the order they are written. */
export const LOT_FIELDS = [
  ...CANDIDATE_COLUMNS,
  'opened_on',
  'storage_temp_c',
  'pack',
  'storage_index',
  'out_of_stock',
  'note',
] as const;
export type LotField = (typeof LOT_FIELDS)[number];
export type LotColumn = LotField | AnalyteId | 'precursor';
export const LOT_COLUMNS: readonly LotColumn[] = [...LOT_FIELDS, ...ANALYTES, 'precursor'];

/** Columns of a schedule: what goes in where, and what is known of the lot. */
const ADDITION_FIELDS = ['hop', 'form', 'stage', 'grams', 'price_per_kg', 'package_g'] as const;
/** Columns that say more of the stage: text with a unit, or figures. */
export const STAGE_COLUMNS = ['time', 'minutes', 'hours', 'day', 'temp_c'] as const;
export type AdditionColumn =
  (typeof ADDITION_FIELDS)[number] | (typeof STAGE_COLUMNS)[number] | AnalyteId | 'precursor';
export type ListColumn = LotColumn | AdditionColumn;

/** What a column of a file means: a field of ours, and the unit its figures stand in. */
export interface ColumnMeaning {
  /** Our field name; with another unit, like `grams_on_hand (kg)`. */
  readonly id: string;
  readonly column: ListColumn;
  /** `ours = figure * factor + offset`. */
  readonly factor: number;
  readonly offset: number;
}

function meaning(column: ListColumn, unit = '', factor = 1, offset = 0): ColumnMeaning {
  return { id: unit ? `${column} (${unit})` : column, column, factor, offset };
}

const weighed = (column: 'grams_on_hand' | 'grams' | 'package_g') => [
  meaning(column, 'kg', 1000),
  meaning(column, 'oz', GRAMS_PER_OUNCE),
  meaning(column, 'lb', GRAMS_PER_POUND),
];
const PRICED = [
  meaning('price_per_kg', 'per lb', 1000 / GRAMS_PER_POUND),
  meaning('price_per_kg', 'per oz', 1000 / GRAMS_PER_OUNCE),
];

/** Everything a column of a list of lots may be taken for. */
export const LOT_MEANINGS: readonly ColumnMeaning[] = [
  ...LOT_COLUMNS.map((column) => meaning(column)),
  ...weighed('grams_on_hand'),
  ...weighed('package_g'),
  ...PRICED,
  meaning('storage_temp_c', 'F', 1 / 1.8, -32 / 1.8),
];

/** Everything a column of a schedule may be taken for. */
export const ADDITION_MEANINGS: readonly ColumnMeaning[] = [
  ...[...ADDITION_FIELDS, ...STAGE_COLUMNS, ...ANALYTES, 'precursor' as const].map((column) =>
    meaning(column),
  ),
  ...weighed('grams'),
  meaning('hours', 'days', 24),
  meaning('temp_c', 'F', 1 / 1.8, -32 / 1.8),
  ...weighed('package_g'),
  ...PRICED,
];

/** Usual headers of the trade, folded (small letters and digits only), by what they mean. */
const TRADE_WORDS: Readonly<Record<string, string>> = {
  hop: 'hop hops variety hopvariety cultivar name hopname sorte',
  form: 'form type product hopform hoptype',
  grams_on_hand:
    'grams g amount amountg quantity quantityg qty qtyg weight weightg onhand onhandg stock stockg menge mengeg',
  'grams_on_hand (kg)': 'kg kilograms amountkg quantitykg qtykg weightkg onhandkg stockkg mengekg',
  'grams_on_hand (oz)': 'oz ounces amountoz quantityoz qtyoz weightoz onhandoz stockoz',
  'grams_on_hand (lb)':
    'lb lbs pounds amountlb amountlbs quantitylb qtylb weightlb weightlbs onhandlb stocklb',
  stage: 'stage step addition use timing when zugabe',
  time: 'time duration contact contacttime boiltime zeit dauer kochzeit',
  minutes: 'minutes min mins minute timemin timeminutes boilminutes',
  hours: 'hours hrs timeh timehours contacthours',
  'hours (days)': 'days timedays contactdays',
  day: 'day dryhopday dayafterpitching tag',
  temp_c: 'temp tempc temperature temperaturec',
  'temp_c (F)': 'tempf temperaturef',
  price_per_kg: 'price pricekg priceperkg cost costkg costperkg preiskg preisprokg',
  'price_per_kg (per lb)': 'pricelb priceperlb priceperpound costlb costperlb',
  'price_per_kg (per oz)': 'priceoz priceperoz priceperounce costoz costperoz',
  package_g: 'package packageg packagesize packagesizeg packsize packsizeg bagsize',
  'package_g (kg)': 'packagekg packagesizekg packsizekg',
  'package_g (oz)': 'packageoz packagesizeoz packsizeoz',
  'package_g (lb)': 'packagelb packagesizelb packsizelb',
  harvest_year: 'harvest harvestyear crop cropyear year vintage ernte erntejahr',
  opened_on: 'opened openedon dateopened openeddate openingdate',
  storage_temp_c: 'storagetemp storagetemperature storagetempc temp tempc temperature',
  'storage_temp_c (F)': 'storagetempf storagetemperaturef tempf temperaturef',
  pack: 'packing packaging packed packagingtype',
  storage_index: 'hsi storageindex hopstorageindex',
  out_of_stock: 'outofstock usedup soldout empty',
  note: 'note notes comment comments remark remarks lot lotnumber batch',
  alpha_pct: 'alpha alphaacid alphaacids aa aapct alphaacidspct alphas',
  beta_pct: 'beta betaacid betaacids ba betaacidspct',
  cohumulone_pct_of_alpha: 'cohumulone cohumulonepctofalpha cohumulonepct coh',
  total_oil_ml_per_100g: 'oil oils totaloil totaloils totaloilml totaloilml100g oilml100g',
  undecanone_2_pct_of_oil: '2undecanone undecanone',
  humulene_pct_of_oil: 'humulene alphahumulene',
  caryophyllene_pct_of_oil: 'caryophyllene betacaryophyllene',
  farnesene_pct_of_oil: 'farnesene betafarnesene',
  msp4_ug_per_kg: '4msp 4mmp',
  s3mp4_ug_per_kg: '3s4mp',
  sh3_ug_per_kg: '3sh 3mh',
  sha3_ug_per_kg: '3sha 3mha',
};

const folded = (header: string) =>
  header
    .normalize('NFKD')
    .replace(/%/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9]/g, '');

/** The words that head a column; grams to weigh out are headed like grams on hand. */
const wordsOf = (id: string) =>
  (TRADE_WORDS[id] ?? TRADE_WORDS[id.replace(/^grams\b/, 'grams_on_hand')] ?? '').split(' ');

function byHeader(meanings: readonly ColumnMeaning[]): ReadonlyMap<string, ColumnMeaning> {
  const found = new Map<string, ColumnMeaning>();
  for (const known of meanings) {
    const { column, id } = known;
    for (const word of wordsOf(id)) if (word) found.set(word, known);
    // A component is headed by its bare name as well: "myrcene", "linalool".
    const compound = /^(.+)_pct_of_oil$/.exec(id)?.[1];
    if (compound) found.set(folded(compound), known);
    if (id === column) found.set(folded(id), known);
  }
  return found;
}

/** What each header means, `null` where it is not in the table; of two for a field the first counts. */
export function matchHeaders(
  headers: readonly string[],
  meanings: readonly ColumnMeaning[] = LOT_MEANINGS,
): (ColumnMeaning | null)[] {
  const known = byHeader(meanings);
  const taken = new Set<ListColumn>();
  return headers.map((header) => {
    const found = known.get(folded(header));
    if (!found || taken.has(found.column)) return null;
    taken.add(found.column);
    return found;
  });
}
