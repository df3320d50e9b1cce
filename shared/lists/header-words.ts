// What the trade heads its columns with, in English, German, Czech, French and Spanish, by the field they
// mean; and the units that may stand in a header. Only what is written here is understood, nothing is guessed.
import { GRAMS_PER_OUNCE, GRAMS_PER_POUND, LITRES_PER_GALLON } from '#shared/units.ts';
import { gramsOf } from './figures.ts';
import { joined, wordsIn } from './folding.ts';

/** US beer barrels hold 31 gallons. */
const LITRES_PER_BARREL = 31 * LITRES_PER_GALLON;

/** Words for a field, folded and in one piece, by the field. */
const WORDS: Readonly<Record<string, string>> = {
  hop: `hop hops variety varieties hopvariety cultivar name hopname item ingredient
    sorte hopfen hopfensorte hopfenname bezeichnung artikel artikelbezeichnung
    chmel odruda odrudachmele nazev chmele
    variete houblon houblons nom designation varietedehoublon
    variedad variedades lupulo lupulos nombre`,
  form: `form type hopform hoptype product produkt producto produit format presentation processing
    art typ lieferform hopfenform darreichung darreichungsform produktform
    forma typ druh provedeni uprava
    forme
    formato tipo presentacion`,
  weight: `amount quantity qty weight onhand stock instock available inventory balance remaining mass
    menge bestand vorrat lagerbestand gewicht masse lager lagermenge restmenge istbestand ist
    mnozstvi skladem zasoba zasoby zasob hmotnost vaha stav sklad zustatek
    quantite poids stock qte disponible reste
    cantidad peso existencias masa cant`,
  /** Weights of an addition: in a list of lots they mean nothing. */
  dose: `dose dosage hopdose addition gabe zugabe dosierung dosis hopfengabe davka davkovani ajout adicion`,
  unit: `unit units uom einheit einheiten me jednotka mj unite unites unidad unidades ud`,
  stage: `stage step addition use timing when hopaddition
    zugabe gabe hopfengabe wann zeitpunkt phase schritt einsatz verwendung
    kdy faze krok pridani pouziti
    etape quand ajout moment utilisation usage
    etapa adicion momento cuando uso paso fase`,
  time: `time duration contact contacttime boiltime steeptime
    zeit dauer kochzeit kontaktzeit
    cas doba dobavaru
    duree temps tempsdecontact
    tiempo duracion tiempodehervor`,
  minutes: `minutes min mins minute boilminutes minuten minuty minut minutos`,
  hours: `hours hrs hour stunden std hodiny hodin heures horas`,
  days: `days tage dny dni jours dias`,
  day: `day dryhopday dayafterpitching tag den jour dia`,
  temperature: `temp temperature storagetemp storagetemperature
    temperatur lagertemperatur lagertemp
    teplota teplotaskladovani skladovaciteplota
    temperaturedestockage
    temperatura temperaturadealmacenamiento`,
  price: `price cost unitprice unitcost
    preis kosten ekpreis einkaufspreis
    cena naklady nakupnicena
    prix cout tarif prixdachat
    precio coste costo preciodecompra`,
  package: `package packagesize packsize bagsize bag
    gebinde gebindegrosse packungsgrosse beutel
    velikostbaleni tailledepaquet paquet tamano`,
  harvest: `harvest harvestyear crop cropyear lotyear year vintage season
    ernte erntejahr jahrgang jahr
    sklizen rocnik rok roksklizne
    recolte annee anneederecolte millesime
    cosecha ano anodecosecha temporada campana`,
  opened: `opened openedon dateopened openeddate openingdate openingday
    geoffnet geoeffnet geoffnetam geoeffnetam angebrochen angebrochenam offnungsdatum
    otevreno otevrenodne otevrenodne datumotevreni
    ouvert ouvertle dateouverture datedouverture
    abierto abiertoel fechadeapertura fechaapertura apertura`,
  pack: `pack packing packaging packed packagingtype sealed vacuum vakuum sousvide vacio
    verpackung verpackt verpackungsart
    baleni obal zabaleni
    conditionnement emballage
    envase envasado empaque`,
  index: `hsi storageindex hopstorageindex lagerindex hopfenlagerindex
    indexskladovani indexstarnuti indicedestockage indicedealmacenamiento`,
  gone: `outofstock usedup soldout empty aufgebraucht ausverkauft leer vyprodano epuise agotado`,
  note: `note notes comment comments remark remarks lot lotnumber batch
    bemerkung bemerkungen notiz notizen anmerkung kommentar charge
    poznamka poznamky sarze
    remarque remarques commentaire commentaires
    observaciones nota notas comentario comentarios lote`,
  alpha: `alpha alphaacid alphaacids aa aapct alphas alphaacidspct alphasaure alphasauren alphasaeure alphawert alphagehalt
    alfa alfakyseliny alfahorkekyseliny obsahalfa
    acidealpha acidesalpha tauxalpha tauxdalpha
    alfaacidos acidosalfa alfaacido acidoalfa`,
  beta: `beta betaacid betaacids ba betaacidspct betasaure betasauren betakyseliny betahorkekyseliny
    acidesbeta acidebeta tauxbeta betaacidos acidosbeta`,
  cohumulone: `cohumulone cohumulonepctofalpha cohumulonepct coh cohumulon cohumulona`,
  oil: `oil oils totaloil totaloils totaloilml totaloilml100g oilml100g
    ol oel olgehalt gesamtol hopfenol atherischesol
    silice obsahsilic celkovesilice
    huile huiles huilestotales huiletotale
    aceite aceites aceitetotal aceitestotales`,
  undecanone_2_pct_of_oil: '2undecanone undecanone',
  humulene_pct_of_oil: 'humulene alphahumulene humulen humuleno',
  caryophyllene_pct_of_oil: 'caryophyllene betacaryophyllene caryophyllen cariofileno karyofylen',
  farnesene_pct_of_oil: 'farnesene betafarnesene farnesen farneseno',
  myrcene_pct_of_oil: 'myrcen mirceno',
  linalool_pct_of_oil: 'linalol',
  geraniol_pct_of_oil: 'geraniol',
  msp4_ug_per_kg: '4msp 4mmp',
  s3mp4_ug_per_kg: '3s4mp',
  sh3_ug_per_kg: '3sh 3mh',
  sha3_ug_per_kg: '3sha 3mha',
};

/** Words that add nothing to the word that names the field. */
const BESIDE = new Set(
  `in of the per a to at on date current our my ml
  der die das des den am im und zu pro je aktuell aktueller wert
  v ve k na za dne
  de du d la le les l en au aux et par
  el los del y por fecha
  hop hops hopfen chmele houblon lupulo total gesamt acid acids saure sauren kyseliny kyselin acides acidos`.split(
    /\s+/,
  ),
);

/** The unit of a header: of a weight, of a dose, of a price, of a time or a temperature. */
export interface HeaderUnit {
  readonly kind: 'weight' | 'dose' | 'time' | 'temperature';
  /** As our field names have it: "kg", "g/L", "per lb", "days", "F". */
  readonly name: string;
}

/** Doses by the words around their stroke: grams per litre. */
const DOSES: readonly { readonly words: string; readonly name: string; readonly gPerL: number }[] =
  [
    { words: 'g/l', name: 'g/L', gPerL: 1 },
    { words: 'g/hl', name: 'g/hL', gPerL: 0.01 },
    { words: 'kg/hl', name: 'kg/hL', gPerL: 10 },
    { words: 'oz/gal', name: 'oz/gal', gPerL: GRAMS_PER_OUNCE / LITRES_PER_GALLON },
    { words: 'oz/bbl', name: 'oz/bbl', gPerL: GRAMS_PER_OUNCE / LITRES_PER_BARREL },
    { words: 'lb/bbl', name: 'lb/bbl', gPerL: GRAMS_PER_POUND / LITRES_PER_BARREL },
  ];
export const DOSE_UNITS: readonly { readonly name: string; readonly gPerL: number }[] = DOSES;

const WEIGHT_NAMES: readonly (readonly [number, string])[] = [
  [1, ''],
  [10, 'dkg'],
  [1000, 'kg'],
  [GRAMS_PER_OUNCE, 'oz'],
  [GRAMS_PER_POUND, 'lb'],
];
const PER = new Set('/ per pro je za au par por le el'.split(' '));
const TIMES: Readonly<Record<string, string>> = Object.fromEntries(
  [
    ['minutes', WORDS['minutes']!],
    ['hours', `${WORDS['hours']!} h`],
    ['days', `${WORDS['days']!} d`],
  ].flatMap(([name, words]) => words!.split(/\s+/).map((word) => [word, name!])),
);

const weightName = (grams: number) => WEIGHT_NAMES.find(([of]) => of === grams)?.[1] ?? '';

/** A header taken apart: its words without those of `BESIDE`, and its unit. */
interface Said {
  readonly words: readonly string[];
  readonly weight: string | null;
  readonly dose: string | null;
  /** What a price is for: "" for a kg, "per lb", "per 100 g". */
  readonly per: string | null;
  readonly time: string | null;
  readonly fahrenheit: boolean | null;
}

const LITRES = new Set(['l', 'hl', 'gal', 'bbl', 'liter', 'litre', 'litr', 'litro']);

function said(header: string): Said {
  const all = wordsIn(header.replaceAll('%', ' '));
  let weight: string | null = null;
  let dose: string | null = null;
  let per: string | null = null;
  let time: string | null = null;
  let fahrenheit: boolean | null = null;
  const words: string[] = [];
  for (let i = 0; i < all.length; i += 1) {
    const word = all[i]!;
    const grams = gramsOf(word);
    const [after, behind] = [all[i + 1], all[i + 2]];
    if (PER.has(word) && after !== undefined) {
      const count = /^\d+$/.test(after) ? Number(after) : 1;
      const unit = /^\d+$/.test(after) ? behind : after;
      const of = unit === undefined ? undefined : gramsOf(unit);
      if (of !== undefined) {
        per = perName(count * of);
        i += unit === after ? 1 : 2;
        continue;
      }
    }
    if (grams !== undefined && after !== undefined && PER.has(after) && LITRES.has(behind ?? '')) {
      const litres = behind!.startsWith('lit') ? 'l' : behind!;
      dose = `${weightName(grams) || 'g'}/${litres}`;
      i += 2;
    } else if (grams !== undefined) weight = weightName(grams);
    else if (Object.hasOwn(TIMES, word)) time = TIMES[word]!;
    else if (word === 'f' || word === 'fahrenheit') fahrenheit = true;
    else if (word === 'c' || word === 'celsius') fahrenheit = false;
    else if (word !== '/' && !CURRENCIES.has(word)) words.push(word);
  }
  return { words, weight, dose, per, time, fahrenheit };
}

const CURRENCIES = new Set('eur euro usd czk kc gbp chf pln'.split(' '));

function perName(grams: number): string | null {
  if (grams === 1000) return '';
  if (grams === GRAMS_PER_POUND) return 'per lb';
  if (grams === GRAMS_PER_OUNCE) return 'per oz';
  if (grams === 100) return 'per 100 g';
  return grams === 1 ? 'per g' : null;
}

/** Fields by a word for them; a word may stand for several. */
const FIELDS: ReadonlyMap<string, readonly string[]> = (() => {
  const found = new Map<string, string[]>();
  for (const [field, words] of Object.entries(WORDS)) {
    for (const word of new Set(words.split(/\s+/)))
      found.set(word, [...(found.get(word) ?? []), field]);
  }
  return found;
})();

/** The fields that the words of a header mean: joined to one word, else each word alone where all mean the same. */
function fieldsOf(words: readonly string[]): readonly string[] {
  const whole = FIELDS.get(words.join(''));
  if (whole) return whole;
  const own = words.filter((word) => !BESIDE.has(word));
  const rest = FIELDS.get(own.join(''));
  if (rest) return rest;
  const each = own.map((word) => FIELDS.get(word));
  if (each.length === 0) return FIELDS.get(words.find((word) => FIELDS.has(word)) ?? '') ?? [];
  if (each.some((fields) => fields === undefined)) return [];
  return shared(each as readonly (readonly string[])[]);
}

const shared = (each: readonly (readonly string[])[]) =>
  (each[0] ?? []).filter((field) => each.every((fields) => fields.includes(field)));

/**
 * Words that show that a weight or a price is of something else: what is to be ordered, what it is worth, what is
 * past.
 */
const OTHERS = new Set(
  `reorder minimum minimal mindest mindestbestand ordered order bestellt bestellung value wert gesamtpreis
  gesamtwert loss verlust best before haltbar mhd expiry expires ablauf supplier lieferant dodavatel
  fournisseur proveedor origin herkunft puvod origine origen hodnota valeur valor objednano commande
  pedido minimo caducidad peremption spotreba trvanlivost target ziel sold verkauft used verbraucht bought purchased gekauft eingekauft
  koupeno achete comprado`.split(/\s+/),
);

/** The fields meant by the known words of a header; unknown words are passed over. */
function looseFieldsOf(words: readonly string[]): readonly string[] {
  if (words.some((word) => OTHERS.has(word))) return [];
  const own = words.filter((word) => !BESIDE.has(word));
  const each = own.flatMap((word) => {
    const fields = FIELDS.get(word);
    return fields ? [fields] : [];
  });
  return shared(each).filter((field) => field !== 'hop');
}

/** What a header may mean: ids of columns, "price_per_kg (per lb)", the likeliest first. */
export function meaningsOf(header: string): readonly string[] {
  let ids = meant.get(header);
  if (ids === undefined) {
    const taken = said(header);
    const fields = taken.words.length === 0 ? [] : fieldsOf(taken.words);
    ids = idsOf(taken, fields);
    if (ids.length === 0 && fields.length === 0) ids = wholeHeader(header);
    if (meant.size >= MEANT_MAX) meant.clear();
    meant.set(header, ids);
  }
  return ids;
}

/** Meanings of headers that were looked up before: lists repeat them. */
const meant = new Map<string, readonly string[]>();
const MEANT_MAX = 5000;

/** What a header with unknown words may mean: "Qty still there (lbs)". */
export function looseMeaningsOf(header: string): readonly string[] {
  const taken = said(header);
  return taken.words.length === 0 ? [] : idsOf(taken, looseFieldsOf(taken.words));
}

/** What a header may mean by its unit alone: "kolik gramů", "Lagerung °C". */
export function unitMeaningsOf(header: string): readonly string[] {
  const taken = said(header);
  const ofOther = taken.per === null && taken.words.some((word) => OTHERS.has(word));
  return ofOther ? [] : idsOf({ ...taken, words: [] }, []);
}

function idsOf(
  { words, weight, dose, per, time, fahrenheit }: Said,
  fields: readonly string[],
): readonly string[] {
  const unitOf = (unit: string | null) => (unit ? ` (${unit})` : '');
  const weights = (unit: string) => [`grams_on_hand${unitOf(unit)}`, `grams${unitOf(unit)}`];
  const timed = (unit: string) =>
    ({ minutes: ['minutes'], hours: ['hours'], days: ['hours (days)'] })[unit] ?? [];
  const temperatures = (inF: boolean) =>
    ['storage_temp_c', 'temp_c'].map((id) => id + (inF ? ' (F)' : ''));
  const doseName = DOSES.find(({ words: of }) => of === dose)?.name;
  if (words.length === 0) {
    if (doseName) return [`grams (${doseName})`];
    if (per !== null) return [`price_per_kg${unitOf(per)}`];
    if (weight !== null) return weights(weight);
    if (time !== null) return timed(time);
    return fahrenheit === null ? [] : temperatures(fahrenheit);
  }
  return fields.flatMap((field): readonly string[] => {
    switch (field) {
      case 'weight':
        return doseName ? [`grams (${doseName})`] : weights(weight ?? '');
      case 'dose':
        if (doseName) return [`grams (${doseName})`];
        return weight === null && fields.includes('stage') ? [] : [`grams${unitOf(weight)}`];
      case 'unit':
        return ['unit'];
      case 'stage':
        return weight === null && dose === null ? ['stage'] : [];
      case 'time':
        return time === null ? ['time'] : timed(time);
      case 'minutes':
      case 'hours':
        return [field];
      case 'days':
        return ['hours (days)'];
      case 'temperature':
        return temperatures(fahrenheit === true);
      case 'price':
        return [
          `price_per_kg${unitOf(per ?? (weight === null || weight === 'kg' ? null : `per ${weight}`))}`,
        ];
      case 'package':
        return [`package_g${unitOf(weight)}`];
      case 'harvest':
        return ['harvest_year'];
      case 'opened':
        return ['opened_on'];
      case 'index':
        return ['storage_index'];
      case 'gone':
        return ['out_of_stock'];
      case 'alpha':
        return ['alpha_pct'];
      case 'beta':
        return ['beta_pct'];
      case 'cohumulone':
        return ['cohumulone_pct_of_alpha'];
      case 'oil':
        return ['total_oil_ml_per_100g'];
      default:
        return [field];
    }
  });
}

/** A header whose unit stands in it without a break: "amountkg", "pricelb". */
function wholeHeader(header: string): readonly string[] {
  const whole = joined(header.replaceAll('%', ''));
  for (const unit of ['kg', 'oz', 'lbs', 'lb', 'g', 'c', 'f']) {
    const fields = whole.endsWith(unit) ? FIELDS.get(whole.slice(0, -unit.length)) : undefined;
    const [field] = fields ?? [];
    if (field !== undefined && ['weight', 'package', 'price', 'temperature'].includes(field)) {
      return meaningsOf(`${whole.slice(0, -unit.length)} ${unit}`);
    }
  }
  return [];
}
