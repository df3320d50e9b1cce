// Reading: every fault of a document becomes a sentence with place, fault and cure.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { readJson } from '#shared/reading/json.ts';
import { sentence, type Outcome } from '#shared/outcome.ts';
import { readBrief, readSchedule } from '#shared/reading/read.ts';

const batch = { beer_l: 20, yeast: 'standard', malt_g_per_l: 200 };
const addition = { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 80 };
const schedule = {
  name: 'A',
  batch,
  stages: { dry_hop: { temp_c: 14, hours: 72 } },
  additions: [addition],
};
const brief = {
  batch,
  stages: { dry_hop: { temp_c: 14, hours: 72 } },
  target: { citrus: { at_least: 3 } },
  candidates: 'table',
};

function sentences(outcome: Outcome<unknown>): string[] {
  return outcome.ok ? [] : outcome.problems.map((p) => sentence('f.json', p));
}
const ofSchedule = (document: unknown) =>
  sentences(readSchedule(typeof document === 'string' ? document : JSON.stringify(document)));
const ofBrief = (document: unknown) =>
  sentences(readBrief(typeof document === 'string' ? document : JSON.stringify(document)));
const withAddition = (change: object) => ({ ...schedule, additions: [{ ...addition, ...change }] });

describe('sound documents', () => {
  it('are read, with defaults filled in', () => {
    const read = readSchedule(JSON.stringify(schedule));
    expect(read.ok && read.value.stages.dry_hop).toEqual({
      temp_c: 14,
      hours: 72,
      mixed: false,
      live_yeast: false,
    });
    const wish = readBrief(JSON.stringify(brief));
    expect(wish.ok && [wish.value.minimise, wish.value.limits, wish.value.name]).toEqual([
      'weight',
      { ban: [], require: [] },
      '',
    ]);
  });

  it('may begin with a byte order mark', () => {
    expect(readSchedule(`\uFEFF${JSON.stringify(schedule)}`).ok).toBe(true);
  });
});

describe('fields', () => {
  it.each<[string, unknown, string]>([
    [
      'missing',
      { ...schedule, batch: { yeast: 'standard', malt_g_per_l: 200 } },
      'f.json, batch.beer_l: the field is missing. Give the volume of finished beer before dry-hop losses, in L: a number above 0 and up to 1000000.',
    ],
    [
      'unknown, with the nearest known one',
      withAddition({ gramms: 3 }),
      'f.json, additions[0].gramms: no such field is known here. Write grams if that is meant; known here: hop, form, stage, grams, price_per_kg, package_g, analysis, storage.',
    ],
    [
      'unknown among many',
      withAddition({ analysis: { linalool: 0.5 } }),
      'f.json, additions[0].analysis.linalool: no such field is known here. Write linalool_pct_of_oil if that is meant.',
    ],
    [
      'called like the prototype',
      JSON.stringify(schedule).replace('{"name"', '{"__proto__":{"x":1},"name"'),
      'f.json, __proto__: no such field is known here. Remove it; known here: name, batch, stages, thresholds, compounds_only, recipe, additions.',
    ],
    [
      'of the other kind of document',
      { ...schedule, target: {} },
      'f.json, target: no such field is known here. It belongs to a brief (verb design): remove it, or use that verb.',
    ],
    [
      'negative',
      withAddition({ grams: -5 }),
      'f.json, additions[0].grams: -5 is negative. Give the weight in g: a number from 0 up to 100000000.',
    ],
    [
      'too large',
      withAddition({ grams: 1e9 }),
      'f.json, additions[0].grams: 1000000000 is above 100000000, the largest value allowed. Give the weight in g: a number from 0 up to 100000000.',
    ],
    [
      'a number in quotes',
      withAddition({ grams: '12' }),
      'f.json, additions[0].grams: "12" is text, not a number from 0 up to 100000000. Write it as a bare number: 12.',
    ],
    [
      'text for a number',
      withAddition({ grams: 'abc' }),
      'f.json, additions[0].grams: "abc" is text, not a number from 0 up to 100000000. Give the weight in g: a number from 0 up to 100000000.',
    ],
    [
      'null',
      withAddition({ price_per_kg: null }),
      'f.json, additions[0].price_per_kg: null is given where a number from 0 up to 1000000000 is needed. Give a number from 0 up to 1000000000, or leave the field out.',
    ],
    [
      'no name of the list',
      withAddition({ stage: 'dryhop' }),
      'f.json, additions[0].stage: "dryhop" is no stage of this document. Write dry_hop if that is meant, or one of: dry_hop.',
    ],
    [
      'blank',
      withAddition({ hop: '  ' }),
      'f.json, additions[0].hop: the text is blank. Give the name of the hop variety.',
    ],
    [
      'a list',
      [],
      'f.json: a list is given where an object in braces { } is needed. Give an object in braces { }.',
    ],
  ])('%s', (_, document, expected) => {
    expect(ofSchedule(document)).toEqual([expected]);
  });
});

describe('wishes', () => {
  it('list the axes when one is unknown', () => {
    const [first, ...more] = ofBrief({ ...brief, target: { fruity: { at_least: 2 } } });
    expect(more).toEqual([]);
    expect(first).toContain('f.json, target.fruity: no aroma axis is called "fruity".');
    for (const axis of AXES) expect(first).toContain(axis);
  });

  it.each<[object, string]>([
    [{ at_least: 5, at_most: 2 }, 'at_least lies above at_most'],
    [{ aim: 3 }, 'aim is given without within'],
    [{ within: 0.3 }, 'within is given without aim'],
    [{}, 'nothing is wished'],
    [{ aim: 2, within: 0.5, at_least: 3 }, 'aim and within end below at_least'],
    [{ aim: 4, within: 0.5, at_most: 3 }, 'aim and within begin above at_most'],
  ])('that clash are refused: %j', (wish, message) => {
    expect(ofBrief({ ...brief, target: { resin: wish } }).join()).toContain(
      `f.json, target.resin: ${message}. `,
    );
  });

  it('that just touch are no clash', () => {
    const wish = { aim: 0.3, within: 0.1, at_least: 0.4, at_most: 0.4 };
    expect(ofBrief({ ...brief, target: { resin: wish } })).toEqual([]);
  });

  it('given twice are reported with both places', () => {
    const text =
      '{"batch":{"beer_l":20,"yeast":"standard","malt_g_per_l":0},"stages":{},\n"target":{"citrus":{"at_least":1},\n"citrus":{"at_least":2}},"candidates":"table"}';
    expect(ofBrief(text)).toEqual([
      'f.json, target.citrus: the field is given twice, at line 2, column 11 and at line 3, column 1. Keep one of them.',
    ]);
  });

  it('on bitterness may clash too, also beside another fault', () => {
    const limits = { ibu_at_least: 50, ibu_at_most: 20, hops_at_most: 0 };
    expect(ofBrief({ ...brief, limits })).toEqual([
      'f.json, limits.hops_at_most: 0 is below 1, the smallest value allowed. Give a whole number from 1 up to 50.',
      'f.json, limits: ibu_at_least lies above ibu_at_most. Lower ibu_at_least or raise ibu_at_most.',
    ]);
  });
});

describe('candidates', () => {
  it('are "table" or a list; faults in the list are reported one by one', () => {
    const candidates = [
      { hop: 'Citra', form: 'plug' },
      { hop: '', form: 'cone' },
    ];
    expect(ofBrief({ ...brief, candidates })).toEqual([
      'f.json, candidates[0].form: "plug" is not a name known here. Use one of: pellet_90, pellet_enriched, cone.',
      'f.json, candidates[1].hop: the text is empty. Give the name of the hop variety.',
    ]);
    expect(ofBrief({ ...brief, candidates: 'tabel' })).toEqual([
      'f.json, candidates: "tabel" is not allowed here. Give "table" for the hop table, or a list of lots.',
    ]);
    expect(ofBrief({ ...brief, candidates: [] })).toEqual([
      'f.json, candidates: the list is empty. Give "table" for the hop table, or a list of lots.',
    ]);
  });
});

describe('text that is not JSON', () => {
  it.each<[string, string, string]>([
    ['empty', '', 'f.json: there is nothing in it. Write one JSON document into it.'],
    ['blank', ' \n ', 'f.json: there is nothing in it. Write one JSON document into it.'],
    [
      'truncated',
      '{"batch": {\n  "beer_l": 20,',
      'f.json, batch: the document breaks off at line 2, column 16, before the closing }. Give the whole document: the end is missing.',
    ],
    [
      'truncated in text',
      '{"name": "A',
      'f.json, name: the text that starts at line 1, column 10 has no closing quote. Close it with a double quote; the end of the document may be missing.',
    ],
    [
      'a comma missing',
      '{"name": "A"\n "batch": {}}',
      'f.json: a comma or } is missing at line 2, column 2, before "\\"". Put a comma between the entries.',
    ],
    [
      'a decimal comma',
      '{"batch": {"beer_l": 1,5}}',
      'f.json, batch: a field name in double quotes is missing at line 1, column 24, before "5". If a decimal comma is meant, write a point: 1.5.',
    ],
    [
      'a comment',
      '{ // mine\n}',
      'f.json: there is a comment at line 1, column 3. Remove it: JSON has no comments.',
    ],
    [
      'single quotes',
      '{"name": \'A\'}',
      'f.json, name: text stands in the wrong quotes at line 1, column 10. Use straight double quotes: ".',
    ],
    [
      'two documents',
      '{} {}',
      'f.json: "{" follows the end of the document at line 1, column 4. Keep one JSON document and remove what comes after it.',
    ],
  ])('%s', (_, text, expected) => {
    expect(ofSchedule(text)).toEqual([expected]);
  });

  it.each(['NaN', 'Infinity', '-Infinity', '1e999'])(
    '%s for a number is named with its line, and hides no other problem',
    (word) => {
      const text = `{"batch": {"beer_l": 20, "yeast": "wild",\n "malt_g_per_l": ${word}}, "stages": {}, "additions": []}`;
      const refusals = ofSchedule(text);
      expect(refusals).toHaveLength(2);
      expect(refusals[0]).toContain(`f.json, batch.malt_g_per_l: ${word} at line 2, column 18 is `);
      expect(refusals[1]).toContain('f.json, batch.yeast: "wild" is not a name known here.');
    },
  );

  it('nested without end is refused, not run into the ground', () => {
    expect(ofSchedule('['.repeat(1e5)).join()).toContain('nested more than 64 deep');
  });
});

describe('all problems are reported at once', () => {
  it('each at its own path', () => {
    const document = {
      nam: 'A',
      batch: { beer_l: -1, yeast: 'wild' },
      stages: { mash: { temp_c: 500, minutes: 60, boil_minutes: 60 } },
      additions: [withAddition({ grams: '1' }).additions[0], addition, { hop: 'Citra' }],
    };
    const paths = ofSchedule(document).map((s) => s.split(/[,:] ?/)[1]!.trim());
    expect(new Set(paths)).toEqual(
      new Set([
        'nam',
        'batch.beer_l',
        'batch.yeast',
        'batch.malt_g_per_l',
        'stages.mash.temp_c',
        'additions[0].grams',
        'additions[2].form',
        'additions[2].stage',
        'additions[2].grams',
      ]),
    );
  });
});

describe('readJson against the language itself', () => {
  // fast-check's JSON values nest less deep than the limit.
  it('reads what JSON.stringify writes', () => {
    fc.assert(
      fc.property(fc.jsonValue({ maxDepth: 5 }), fc.boolean(), (value, pretty) => {
        const text = JSON.stringify(value, null, pretty ? 2 : 0);
        expect(readJson(text)).toEqual({ value: JSON.parse(text), problems: [] });
      }),
    );
  });

  it('accepts no text that JSON.parse refuses, and tells where the fault is', () => {
    const pieces = ['{', '}', '[', ']', ',', ':', '"a"', '"', '1', '-', '0', '.5', 'e3', 'NaN'];
    const text = fc.array(fc.constantFrom(...pieces, 'null', ' ', '\n', '\\u00e9', '\\x', 'é'));
    fc.assert(
      fc.property(text, (parts) => {
        const joined = parts.join('');
        let sound = true;
        try {
          JSON.parse(joined);
        } catch {
          sound = false;
        }
        const { problems } = readJson(joined);
        // A field given twice is sound JSON and a fault here; nothing else differs.
        if (sound && problems.some((p) => p.message.includes('twice'))) return;
        expect(problems.length === 0).toBe(sound);
      }),
      { numRuns: 2000 },
    );
  });
});
