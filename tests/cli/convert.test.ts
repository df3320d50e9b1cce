// The verbs convert and check, as a person runs them.
import { describe, expect, it } from 'vitest';
import { BRIEF, SCHEDULE, cli, fileWith } from './run.ts';

const schedule = JSON.stringify(SCHEDULE);

describe('convert', () => {
  it('writes BeerJSON and BeerXML, and reads both back to the schedule', async () => {
    for (const to of ['beerjson', 'beerxml']) {
      const recipe = await cli(['convert', '-', '--to', to], schedule);
      expect([recipe.code, recipe.err]).toEqual([0, '']);
      const back = await cli(['convert', fileWith(recipe.out, 'recipe'), '--to', 'json']);
      expect(back.code).toBe(0);
      const { recipe: origin, ...own } = JSON.parse(back.out) as Record<string, unknown>;
      expect(own).toEqual(SCHEDULE);
      expect(origin).toEqual({ format: to, text: recipe.out });
    }
  });

  it('writes a list of the additions', async () => {
    const { code, out } = await cli(['convert', '-', '--to', 'csv'], schedule);
    expect(code).toBe(0);
    expect(out).toContain('hop,form,stage,grams,hours,temp_c,price_per_kg');
    expect(out).toContain('Citra,pellet_90,Dry hop,60,72,14,40');
  });

  it('says on standard error what a recipe does not tell', async () => {
    const xml =
      '<RECIPES><RECIPE><NAME>One</NAME><BATCH_SIZE>20</BATCH_SIZE><HOPS><HOP><NAME>Saaz</NAME>' +
      '<ALPHA>3</ALPHA><AMOUNT>0.05</AMOUNT><USE>Dry Hop</USE><TIME>4320</TIME></HOP></HOPS></RECIPE></RECIPES>';
    const { code, out, err } = await cli(['convert', '-', '--to', 'json'], xml);
    expect(code).toBe(0);
    expect((JSON.parse(out) as typeof SCHEDULE).additions).toMatchObject([
      { hop: 'Saaz', grams: 50 },
    ]);
    expect(err).toMatch(/standard yeast is assumed/);
    expect(err).toMatch(/gives no temperature of a dry hop: 16 C/);
    expect(err).toMatch(/gives no malt/);
  });

  it.each([
    [['convert', '-'], schedule, /--to: what to convert to is missing. Use one of/],
    [['convert', '-', '--to', 'pdf'], schedule, /"pdf" is not known. Use one of: beerjson/],
    [
      ['convert', '-', '--to', 'csv'],
      JSON.stringify(BRIEF),
      /a brief .*not a single schedule. Give a schedule/,
    ],
    [['convert', '-', '--to', 'csv'], '<RECIPES>', /not well-formed XML.* Export the recipe again/],
    [['predict', '-', '--to', 'csv'], schedule, /predict does not take this option/],
  ])('refuses %j with its cure', async (args, input, words) => {
    const { code, out, err } = await cli(args, input);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(words);
  });
});

describe('check', () => {
  it('says what a sound file is', async () => {
    expect((await cli(['check', '-'], schedule)).out).toBe(
      'This is a hop schedule, and it is valid.\n',
    );
    const brief = await cli(['check', '-', '--json'], JSON.stringify(BRIEF));
    expect(JSON.parse(brief.out)).toEqual({ kind: 'brief', notes: [] });
  });

  it('names every fault of one that is not', async () => {
    const bad = JSON.stringify({ ...BRIEF, batch: { ...BRIEF.batch, beer_l: -1, yeast: 'wild' } });
    const { code, out, err } = await cli(['check', '-'], bad);
    expect([code, out]).toEqual([2, '']);
    expect(err).toMatch(/batch\.beer_l/);
    expect(err).toMatch(/batch\.yeast/);
  });
});
