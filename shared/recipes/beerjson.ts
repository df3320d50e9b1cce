// BeerJSON 2.06: which of its fields say what of hops, boil and batch. Read leniently, for programs write it
// in several ways; written so that the published schema takes it.
import { isFields, type Fields } from '#shared/fields.ts';
import { failure, success, type Outcome } from '#shared/outcome.ts';
import type { ListedStage } from '#shared/lists/stage-words.ts';
import { readJson } from '#shared/reading/json.ts';
import type { FormId } from '#shared/ids.ts';
import {
  GRAMS_PER_OUNCE,
  GRAMS_PER_POUND,
  LITRES_PER_GALLON,
  LITRES_PER_IMPERIAL_GALLON,
  type Minutes,
} from '#shared/units.ts';
import { kindNamed, KINDS, stageName } from '#shared/stages/kinds.ts';
import { sgOf, sgOfPlato } from './gravity.ts';
import {
  analysisOf,
  hopsInPlace,
  round,
  type BatchToWrite,
  type HopToWrite,
  type Standard,
  type RecipeHop,
} from './standard.ts';
import { minutesIn, listedStage } from './listed-stage.ts';

const VERSION = 2.06;

const MASS: Readonly<Record<string, number>> = {
  mg: 0.001,
  g: 1,
  kg: 1000,
  oz: GRAMS_PER_OUNCE,
  lb: GRAMS_PER_POUND,
};
const VOLUME: Readonly<Record<string, number>> = {
  ml: 0.001,
  l: 1,
  gal: LITRES_PER_GALLON,
  qt: LITRES_PER_GALLON / 4,
  pt: LITRES_PER_GALLON / 8,
  cup: LITRES_PER_GALLON / 16,
  floz: LITRES_PER_GALLON / 128,
  bbl: 31 * LITRES_PER_GALLON,
  igal: LITRES_PER_IMPERIAL_GALLON,
  iqt: LITRES_PER_IMPERIAL_GALLON / 4,
  ipt: LITRES_PER_IMPERIAL_GALLON / 8,
  ifloz: LITRES_PER_IMPERIAL_GALLON / 160,
  ibbl: 36 * LITRES_PER_IMPERIAL_GALLON,
};
const MINUTES: Readonly<Record<string, Minutes>> = {
  sec: 1 / 60,
  min: 1,
  hr: 60,
  day: 1440,
  week: 10_080,
};

/** A figure with its unit, in ours; `undefined` where it is none, or the unit is unknown. */
function quantity(given: unknown, units: Readonly<Record<string, number>>): number | undefined {
  if (!isFields(given) || typeof given['value'] !== 'number') return undefined;
  const unit = given['unit'];
  if (typeof unit !== 'string' || !Object.hasOwn(units, unit)) return undefined;
  return round(given['value'] * units[unit]!);
}

const percent = (given: unknown) => quantity(given, { '%': 1 });

function celsius(given: unknown): number | undefined {
  const fahrenheit = quantity(given, { F: 1 });
  return fahrenheit === undefined ? quantity(given, { C: 1 }) : round((fahrenheit - 32) / 1.8);
}

function gravity(given: unknown): number | undefined {
  const plato = quantity(given, { plato: 1, brix: 1 });
  return plato === undefined ? sgOf(quantity(given, { sg: 1 })) : round(sgOfPlato(plato));
}

const listIn = (fields: Fields, key: string): readonly unknown[] => {
  const list = fields[key];
  return Array.isArray(list) ? list : [];
};
const partIn = (fields: Fields, key: string): Fields => {
  const part = fields[key];
  return isFields(part) ? part : {};
};
const recipesIn = (document: Fields) => listIn(partIn(document, 'beerjson'), 'recipes');
const firstOf = (document: Fields): Fields => {
  const [first] = recipesIn(document);
  return isFields(first) ? first : {};
};
const hopsIn = (recipe: Fields) => listIn(partIn(recipe, 'ingredients'), 'hop_additions');
const stepsIn = (recipe: Fields) => listIn(partIn(recipe, 'boil'), 'boil_steps');

/** Hops by form; a closed list of the standard. */
const FORM_OF: Readonly<Record<string, FormId>> = {
  leaf: 'cone',
  plug: 'cone',
  pellet: 'pellet_90',
};
const NAME_OF: Readonly<Record<FormId, string>> = {
  cone: 'leaf',
  pellet_90: 'pellet',
  pellet_enriched: 'pellet',
};

/** Below this a step of the boil is a steep: wort boils at 100 C, a little lower on a mountain. */
const BOILS_FROM_C = 96;

/** The step of the boil that a timing means; steps count from 1. */
function steepStep(recipe: Fields, timing: Fields) {
  const step = timing['step'];
  const found = typeof step === 'number' ? stepsIn(recipe)[step - 1] : undefined;
  if (!isFields(found)) return null;
  const temp_c = celsius(found['end_temperature']) ?? celsius(found['start_temperature']);
  return temp_c === undefined || temp_c >= BOILS_FROM_C
    ? null
    : { temp_c, minutes: quantity(found['step_time'], MINUTES) };
}

function stageOf(recipe: Fields, timing: Fields): Outcome<ListedStage> {
  const time = quantity(timing['time'], MINUTES);
  const duration = quantity(timing['duration'], MINUTES);
  switch (timing['use']) {
    case 'add_to_mash':
      return success(listedStage('mash', {}));
    case 'add_to_boil':
    case undefined: {
      const steep = steepStep(recipe, timing);
      if (steep) {
        const minutes = duration ?? steep.minutes;
        return success(listedStage('hot_steep', { temp_c: steep.temp_c, minutes }));
      }
      const minutes = duration ?? time ?? 0;
      // Some programs write every addition as one to the boil. No boil lasts a day, so such an addition is a dry hop.
      if (minutes >= MINUTES['day']!)
        return success(listedStage('dry_hop', { hours: minutes / 60 }));
      return success(listedStage('boil', { minutes: duration ?? time }));
    }
    case 'add_to_fermentation':
    case 'add_to_package':
      return success(
        listedStage('dry_hop', {
          hours: duration === undefined ? undefined : round(duration / 60),
          day: time === undefined ? undefined : Math.round(time / 1440),
        }),
      );
    default: {
      const message = `hops at "${String(timing['use'])}" are no stage known here`;
      const cure = 'Move the hop to the mash, the boil or the fermentation';
      return failure({ path: 'timing.use', message, cure });
    }
  }
}

function hopOf(recipe: Fields, given: unknown, index: number): RecipeHop {
  const place = `hop_additions[${index}]`;
  const refuse = (path: string, message: string, cure: string) =>
    failure<never>({ path: `${place}${path}`, message, cure });
  if (!isFields(given)) return refuse('', 'it is no hop', 'Give its name, amount and timing');
  const hop = given['name'];
  if (typeof hop !== 'string' || hop.trim() === '') {
    return refuse('.name', 'the name of the hop is missing', 'Name its variety');
  }
  const grams = quantity(given['amount'], MASS);
  if (grams === undefined) {
    const cure = `Give a mass, in ${Object.keys(MASS).join(', ')}`;
    return refuse('.amount', `the amount of ${hop} is no mass`, cure);
  }
  const word = given['form'] ?? 'pellet';
  const form = typeof word === 'string' && Object.hasOwn(FORM_OF, word) ? FORM_OF[word] : undefined;
  if (form === undefined) {
    const message = `${hop} is given as ${JSON.stringify(word)}, a form not known here`;
    return refuse('.form', message, `Use one of: ${Object.keys(FORM_OF).join(', ')}`);
  }
  const stage = stageOf(recipe, partIn(given, 'timing'));
  if (!stage.ok) {
    return failure(...stage.problems.map((p) => ({ ...p, path: `${place}.${p.path}` })));
  }
  const oil = partIn(given, 'oil_content');
  const analysis = analysisOf({
    alpha_pct: percent(given['alpha_acid']),
    beta_pct: percent(given['beta_acid']) || undefined,
    total_oil_ml_per_100g: oil['total_oil_ml_per_100g'],
    cohumulone_pct_of_alpha: percent(oil['cohumulone']),
    myrcene_pct_of_oil: percent(oil['myrcene']),
    humulene_pct_of_oil: percent(oil['humulene']),
    caryophyllene_pct_of_oil: percent(oil['caryophyllene']),
    farnesene_pct_of_oil: percent(oil['farnesene']),
    geraniol_pct_of_oil: percent(oil['geraniol']),
    linalool_pct_of_oil: percent(oil['linalool']),
    limonene_pct_of_oil: percent(oil['limonene']),
    nerol_pct_of_oil: percent(oil['nerol']),
    beta_pinene_pct_of_oil: percent(oil['b_pinene']),
  });
  return success({ addition: { hop: hop.trim(), form, grams, ...analysis }, stage: stage.value });
}

const amount = (unit: string, value: number) => ({ unit, value });
/** Times are whole numbers here: in the largest unit that leaves none over, else to the second. */
function time(minutes: Minutes) {
  if (Number.isInteger(minutes)) return amount('min', minutes);
  return amount('sec', Math.round(minutes * 60));
}

/** Writes the hops of a recipe: additions to the boil that have a temperature become steps of it. */
class RecipeWriter {
  readonly steps: unknown[];

  constructor(private readonly recipe: Fields) {
    this.steps = [...stepsIn(recipe)];
  }

  timing({ use }: HopToWrite): Fields {
    const { listed, recipes } = kindNamed(use.kind);
    const of = use.conditions as Readonly<Record<string, number | undefined>>;
    const minutes = minutesIn(use);
    const tempC = recipes.beerjson === 'add_to_boil' && of[listed.temperature ?? ''];
    const step = typeof tempC === 'number' && { step: this.steep(use.key, tempC, minutes) };
    const day = of[listed.day ?? ''];
    const begins = day !== undefined && { time: amount('day', day) };
    return { use: recipes.beerjson, ...step, ...begins, duration: time(minutes) };
  }

  private steep(key: string, temp_c: number, minutes: Minutes): number {
    if (this.steps.length === 0) {
      const whole = partIn(this.recipe, 'boil')['boil_time'];
      this.steps.push({ name: 'Boil', ...(isFields(whole) && { step_time: whole }) });
    }
    const step = {
      name: stageName(key),
      start_temperature: amount('C', temp_c),
      end_temperature: amount('C', temp_c),
      step_time: time(minutes),
    };
    const there = this.steps.findIndex((other) => JSON.stringify(other) === JSON.stringify(step));
    return there >= 0 ? there + 1 : this.steps.push(step);
  }
}

function hopFields(hop: HopToWrite, writing: RecipeWriter): Fields {
  const { addition, alpha_pct } = hop;
  const { analysis = {} } = addition;
  const share = (value: number | undefined) =>
    value === undefined ? undefined : amount('%', value);
  const oil = Object.entries({
    total_oil_ml_per_100g: analysis.total_oil_ml_per_100g,
    cohumulone: share(analysis.cohumulone_pct_of_alpha),
    myrcene: share(analysis.myrcene_pct_of_oil),
    humulene: share(analysis.humulene_pct_of_oil),
    caryophyllene: share(analysis.caryophyllene_pct_of_oil),
    farnesene: share(analysis.farnesene_pct_of_oil),
    geraniol: share(analysis.geraniol_pct_of_oil),
    linalool: share(analysis.linalool_pct_of_oil),
    limonene: share(analysis.limonene_pct_of_oil),
    nerol: share(analysis.nerol_pct_of_oil),
    b_pinene: share(analysis.beta_pinene_pct_of_oil),
  }).filter(([, figure]) => figure !== undefined);
  return {
    name: addition.hop,
    form: NAME_OF[addition.form],
    alpha_acid: amount('%', alpha_pct),
    ...(analysis.beta_pct !== undefined && { beta_acid: amount('%', analysis.beta_pct) }),
    ...(oil.length > 0 && { oil_content: Object.fromEntries(oil) }),
    amount: amount('g', addition.grams),
    timing: writing.timing(hop),
  };
}

function withHops(document: Fields, batch: BatchToWrite, hops: readonly HopToWrite[]): Fields {
  const recipe = firstOf(document);
  const old = hopsIn(recipe);
  const writing = new RecipeWriter(recipe);
  const hop_additions = hopsInPlace(
    old,
    old.map((hop, i) => hopOf(recipe, hop, i)),
    hops,
    (hop, like) => ({ ...(isFields(like) && like), ...hopFields(hop, writing) }),
  );
  const boils = hops.flatMap(({ use }) => (use.kind === 'boil' ? [use.conditions.minutes] : []));
  const boil =
    writing.steps.length === stepsIn(recipe).length
      ? recipe['boil']
      : {
          boil_time: time(boils.length > 0 ? Math.max(...boils) : KINDS.boil.usual.minutes),
          ...partIn(recipe, 'boil'),
          boil_steps: writing.steps,
        };
  const written: Fields = {
    ...recipe,
    ...(batch.name !== undefined && { name: batch.name }),
    ...(batch.beer_l !== undefined && { batch_size: amount('l', batch.beer_l) }),
    ...(batch.gravity_sg !== undefined && { original_gravity: amount('sg', batch.gravity_sg) }),
    ...(batch.co2_vol !== undefined && { carbonation: batch.co2_vol }),
    ...(batch.notes !== undefined && { notes: batch.notes }),
    ...(hop_additions !== old && {
      ingredients: { ...partIn(recipe, 'ingredients'), hop_additions },
    }),
    ...(boil !== undefined && { boil }),
  };
  const recipes = [written, ...recipesIn(document).slice(1)];
  return { ...document, beerjson: { ...partIn(document, 'beerjson'), recipes } };
}

export const beerJson: Standard<Fields> = {
  format: 'beerjson',
  name: 'BeerJSON',
  read: (text) => {
    const { value, problems } = readJson(text);
    if (value === undefined || problems.length > 0) return failure(...problems);
    if (!isFields(value) || !isFields(recipesIn(value)[0])) {
      const cure = 'Give a file with "beerjson" and a recipe in its "recipes"';
      return failure({ path: 'beerjson.recipes', message: 'there is no recipe in it', cure });
    }
    return success(value);
  },
  // The schema demands author and efficiency, which our documents do not have.
  empty: () => ({
    beerjson: {
      version: VERSION,
      recipes: [
        {
          name: '',
          type: 'all grain',
          author: '',
          efficiency: { brewhouse: amount('%', 0) },
          batch_size: amount('l', 0),
          ingredients: { fermentable_additions: [], hop_additions: [] },
        },
      ],
    },
  }),
  count: (document) => recipesIn(document).length,
  batch: (document) => {
    const recipe = firstOf(document);
    const beer_l = quantity(recipe['batch_size'], VOLUME);
    const malts = listIn(partIn(recipe, 'ingredients'), 'fermentable_additions').map((malt) =>
      isFields(malt) ? quantity(malt['amount'], MASS) : undefined,
    );
    const malt_g = malts.reduce<number>((sum, grams = 0) => sum + grams, 0);
    const gravity_sg = gravity(recipe['original_gravity']);
    const co2 = recipe['carbonation'];
    return {
      name: typeof recipe['name'] === 'string' ? recipe['name'] : '',
      ...(beer_l !== undefined && beer_l > 0 && { beer_l }),
      ...(malt_g > 0 && { malt_g }),
      ...(gravity_sg !== undefined && { gravity_sg }),
      ...(typeof co2 === 'number' && co2 > 0 && { co2_vol: co2 }),
      notes: typeof recipe['notes'] === 'string' ? recipe['notes'] : '',
    };
  },
  hops: (document) => {
    const recipe = firstOf(document);
    return hopsIn(recipe).map((hop, i) => hopOf(recipe, hop, i));
  },
  with: withHops,
  text: (document) => `${JSON.stringify(document, null, 2)}\n`,
};
