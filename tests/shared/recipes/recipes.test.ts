// Recipes of the open standards: the standards' own samples read and go out as they came, what we write is
// taken by the published schema and reads back equal, and nothing of a foreign recipe is lost.
import { readFileSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Ajv } from 'ajv';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { beerJson } from '#shared/recipes/beerjson.ts';
import { beerXml } from '#shared/recipes/beerxml.ts';
import { recipeText, scheduleFrom, type ReadRecipe } from '#shared/recipes/recipe.ts';
import type { Standard } from '#shared/recipes/standard.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { drawnSchedule } from '../../golden/yardstick.ts';

const PACKAGE = fileURLToPath(
  new URL('../../../node_modules/@beerjson/beerjson/', import.meta.url),
);
const filesOf = (folder: string) =>
  readdirSync(join(PACKAGE, folder)).map((name) => join(PACKAGE, folder, name));
const textOf = (path: string) => readFileSync(path, 'utf8');
const json = (path: string): unknown => JSON.parse(textOf(path));

const schema = (() => {
  const ajv = new Ajv({ strict: false });
  const [root, ...parts] = [
    'beer.json',
    ...readdirSync(join(PACKAGE, 'json')).filter((n) => n !== 'beer.json'),
  ];
  for (const part of parts) ajv.addSchema(json(join(PACKAGE, 'json', part)) as object);
  return ajv.compile(json(join(PACKAGE, 'json', root!)) as object);
})();
const faultsOf = (text: string) => (schema(JSON.parse(text)) ? [] : schema.errors);

/** Alpha acids of a table in which every hop has the same. */
const alphaOf = () => 9;

function read<Recipe>(standard: Standard<Recipe>, text: string): ReadRecipe {
  const outcome = scheduleFrom(standard, text);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
function write<Recipe>(standard: Standard<Recipe>, schedule: Schedule): string {
  const outcome = recipeText(standard, schedule, alphaOf);
  if (!outcome.ok) throw new Error(JSON.stringify(outcome.problems));
  return outcome.value;
}
const own = ({ recipe: _, ...schedule }: Schedule) => schedule;

describe('the standards’ own samples', () => {
  const samples = ['tests/converted', 'tests/real', 'tests/generic']
    .flatMap(filesOf)
    .filter((path) => {
      const { beerjson } = json(path) as {
        beerjson: { recipes?: { batch_size?: { value: number } }[] };
      };
      return (beerjson.recipes?.[0]?.batch_size?.value ?? 0) > 0;
    });

  it('reads every BeerJSON recipe, and writes it as it came', () => {
    expect(samples.length).toBeGreaterThanOrEqual(12);
    for (const path of samples) {
      const text = textOf(path);
      expect(JSON.parse(write(beerJson, read(beerJson, text).schedule))).toEqual(JSON.parse(text));
    }
  });

  it('reads every BeerXML recipe, and writes it to the letter but for the encoding', () => {
    const files = filesOf('tests/xml');
    expect(files.length).toBeGreaterThanOrEqual(5);
    for (const path of files) {
      const text = textOf(path);
      const written = write(beerXml, read(beerXml, text).schedule);
      // An empty element may be written in two ways, and blanks between the prolog and the root say nothing.
      const plain = (xml: string) =>
        xml
          .replace(/<([A-Z_]+)\s*\/>/g, '<$1></$1>')
          .replace(/\?>\s+/, '?>')
          .trimEnd();
      expect(plain(written)).toBe(plain(text.replace('ISO-8859-1', 'UTF-8')));
    }
  });

  it('tells both standards apart from one recipe alike', () => {
    const names = filesOf('tests/xml').map((path) =>
      path.replace(/.*[\\/]/, '').replace('.xml', ''),
    );
    const pairs = names.map((name) => ({
      ofXml: read(beerXml, textOf(join(PACKAGE, 'tests/xml', `${name}.xml`))).schedule,
      ofJson: read(beerJson, textOf(join(PACKAGE, 'tests/converted', `${name}.json`))).schedule,
    }));
    for (const { ofXml, ofJson } of pairs) {
      const hops = (schedule: Schedule) =>
        schedule.additions.map(({ hop, grams }) => `${hop} ${grams.toFixed(3)}`);
      expect(hops(ofXml)).toEqual(hops(ofJson));
      expect(ofXml.batch.beer_l).toBeCloseTo(ofJson.batch.beer_l, 3);
    }
  });
});

describe('what we write', () => {
  it.each([0, 1, 2, 3, 4])(
    'is valid BeerJSON, and every third reads back equal, 100 drawn schedules from %i00',
    (hundred) => {
      for (let i = 0; i < 100; i += 1) {
        const schedule = drawnSchedule(hundred * 100 + i);
        const text = write(beerJson, schedule);
        expect(faultsOf(text)).toEqual([]);
        if (i % 3 === 0) expect(own(read(beerJson, text).schedule)).toEqual(own(schedule));
      }
    },
  );

  it('reads back equal from BeerXML, 100 drawn schedules', () => {
    for (let i = 0; i < 100; i += 1) {
      const schedule = drawnSchedule(i);
      expect(own(read(beerXml, write(beerXml, schedule)).schedule)).toEqual(own(schedule));
    }
  });

  it('keeps its figures in the notes only where the standard has no field for them', () => {
    const plain = read(beerXml, textOf(join(PACKAGE, 'tests/xml/GenericOneHF.xml'))).schedule;
    expect(write(beerXml, plain)).not.toContain('hop_schedule');
    const enriched = {
      ...plain,
      additions: plain.additions.map((a) => ({ ...a, form: 'pellet_enriched' as const })),
    };
    const text = write(beerXml, enriched);
    expect(text).toContain('hop_schedule');
    expect(own(read(beerXml, text).schedule)).toEqual(own(enriched));
    // And they go again with what needed them.
    expect(write(beerXml, { ...plain, recipe: { format: 'beerxml', text } })).not.toContain(
      'hop_schedule',
    );
  });

  it('takes what another program changed for what counts', () => {
    const schedule = drawnSchedule(3);
    const text = write(beerJson, schedule);
    const document = JSON.parse(text) as {
      beerjson: { recipes: { ingredients: { hop_additions: { amount: { value: number } }[] } }[] };
    };
    const hops = document.beerjson.recipes[0]!.ingredients.hop_additions;
    hops[0]!.amount.value += 10;
    const back = read(beerJson, JSON.stringify(document)).schedule;
    expect(back.additions[0]!.grams).toBeCloseTo(schedule.additions[0]!.grams + 10, 9);
    expect(back.additions.slice(1)).toEqual(schedule.additions.slice(1));
  });

  it('refuses a hop whose alpha acids nobody knows, and says what to do', () => {
    const outcome = recipeText(beerJson, drawnSchedule(1), () => null);
    expect(outcome.ok).toBe(false);
    if (!outcome.ok) expect(outcome.problems[0]!.cure).toMatch(/alpha_pct/);
  });
});

/** A value as another program may keep it beside what we know. */
const anything = fc.jsonValue({ maxDepth: 2 });
const field = fc.stringMatching(/^x_[a-z]{1,8}$/);
const foreignHop = fc
  .record({
    extra: fc.dictionary(field, anything, { maxKeys: 4 }),
    name: fc.constantFrom('Citra', 'Cascade', 'A hop of our own'),
    form: fc.constantFrom('pellet', 'leaf', 'plug'),
    alpha: fc.integer({ min: 1, max: 200 }),
    amount: fc.record({
      unit: fc.constantFrom('g', 'oz', 'kg', 'lb'),
      value: fc.integer({ min: 1, max: 9 }),
    }),
    timing: fc.constantFrom(
      { use: 'add_to_boil', duration: { unit: 'min', value: 60 } },
      { use: 'add_to_boil', time: { unit: 'min', value: 10 } },
      { use: 'add_to_mash' },
      {
        use: 'add_to_fermentation',
        time: { unit: 'day', value: 3 },
        duration: { unit: 'day', value: 2 },
      },
    ),
  })
  .map(({ extra, alpha, ...hop }) => ({
    ...extra,
    ...hop,
    alpha_acid: { unit: '%', value: alpha / 10 },
  }));
const foreignRecipe = fc.record({
  extra: fc.dictionary(field, anything, { maxKeys: 6 }),
  hops: fc.array(foreignHop, { minLength: 1, maxLength: 8 }),
  notes: fc.option(fc.string(), { nil: undefined }),
});
type Hops = readonly Record<string, unknown>[];
const documentOf = ({
  extra,
  hops,
  notes,
}: {
  extra: object;
  hops: Hops;
  notes: string | undefined;
}) => ({
  beerjson: {
    version: 2.06,
    recipes: [
      {
        ...extra,
        name: 'Foreign',
        batch_size: { unit: 'gal', value: 5 },
        ...(notes !== undefined && { notes }),
        ingredients: {
          fermentable_additions: [{ amount: { unit: 'kg', value: 4 } }],
          hop_additions: hops,
        },
      },
      { name: 'Another' },
    ],
    other: extra,
  },
});

describe('a recipe of another program', () => {
  it('goes out of BeerJSON as it came, whatever stands beside the hops', () => {
    fc.assert(
      fc.property(foreignRecipe, (recipe) => {
        const text = JSON.stringify(documentOf(recipe));
        const { schedule } = read(beerJson, text);
        expect(JSON.parse(write(beerJson, schedule))).toEqual(JSON.parse(text));
      }),
      { seed: 11, numRuns: 500 },
    );
  });

  it('keeps every field we do not know of a hop whose grams we change', () => {
    fc.assert(
      fc.property(foreignRecipe, (recipe) => {
        const { schedule } = read(beerJson, JSON.stringify(documentOf(recipe)));
        const changed = {
          ...schedule,
          additions: schedule.additions.map((a, i) => (i === 0 ? { ...a, grams: a.grams + 1 } : a)),
        };
        const written = JSON.parse(write(beerJson, changed)) as ReturnType<typeof documentOf>;
        const [first, ...rest] = (
          written.beerjson.recipes[0] as unknown as { ingredients: { hop_additions: Hops } }
        ).ingredients.hop_additions;
        const [before, ...others] = recipe.hops;
        const unknown = Object.entries(before!).filter(([key]) => key.startsWith('x_'));
        for (const [key, value] of unknown)
          expect(first![key]).toEqual(JSON.parse(JSON.stringify(value)));
        expect(first!['amount']).toEqual({ unit: 'g', value: changed.additions[0]!.grams });
        expect(rest).toEqual(JSON.parse(JSON.stringify(others)));
        expect(written.beerjson.recipes[1]).toEqual({ name: 'Another' });
        expect(own(read(beerJson, JSON.stringify(written)).schedule)).toEqual(own(changed));
      }),
      { seed: 12, numRuns: 100 },
    );
  });

  it('keeps comments, CDATA, attributes and signs by number of a BeerXML whose hop changes', () => {
    const text = `<?xml version="1.0" encoding="UTF-8"?>
<!-- exported --><RECIPES><RECIPE a="1"><NAME>K&#246;lsch &amp; more</NAME><BATCH_SIZE>20</BATCH_SIZE>
<HOPS><HOP b="2"><NAME>Saaz</NAME><ALPHA>3.5</ALPHA><AMOUNT>0.05</AMOUNT><USE>Boil</USE><TIME>60</TIME><X-OWN>kept</X-OWN><DISPLAY_AMOUNT>50 g</DISPLAY_AMOUNT></HOP></HOPS>
<NOTES><![CDATA[a < b]]></NOTES></RECIPE></RECIPES>`;
    const { schedule } = read(beerXml, text);
    expect(schedule.name).toBe('Kölsch & more');
    const [hop] = schedule.additions;
    const written = write(beerXml, { ...schedule, additions: [{ ...hop!, grams: 60 }] });
    for (const part of [
      '<!-- exported -->',
      'a="1"',
      'b="2"',
      'K&#246;lsch &amp; more',
      '<X-OWN>kept</X-OWN>',
    ]) {
      expect(written).toContain(part);
    }
    expect(written).toContain('<AMOUNT>0.06</AMOUNT>');
    expect(written).toContain('<![CDATA[a < b]]>');
    // What a screen showed of the old amount is no longer so.
    expect(written).not.toContain('50 g');
  });

  it('names what it leaves out, and leaves it in the recipe', () => {
    const oil = {
      name: 'An oil',
      alpha_acid: { unit: '%', value: 0 },
      amount: { unit: 'ml', value: 3 },
      timing: {},
    };
    const hop = {
      name: 'Citra',
      alpha_acid: { unit: '%', value: 12 },
      amount: { unit: 'g', value: 30 },
      timing: {},
    };
    const text = JSON.stringify(documentOf({ extra: {}, hops: [oil, hop], notes: undefined }));
    const { schedule, supposed } = read(beerJson, text);
    expect(schedule.additions.map((a) => a.hop)).toEqual(['Citra']);
    expect(supposed.join(' ')).toMatch(/An oil is no mass.*stays in the recipe/);
    expect(write(beerJson, { ...schedule, additions: [] })).toContain('An oil');
  });
});
