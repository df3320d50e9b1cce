// Spoiled tables: the build must refuse each one and say in which file, line and column.
import { describe, expect, it } from 'vitest';
import { checkHops } from '#data/build/check.ts';
import { generate, type InputFile } from '#data/build/generate.ts';
import { hopNamed, inputs, lineOf, spoiled } from './inputs.ts';

function problemsOf(tables: Record<InputFile, string>) {
  const outcome = generate(tables);
  return outcome.ok ? [] : outcome.problems;
}

interface Case {
  readonly what: string;
  readonly file: InputFile;
  readonly from: string;
  readonly to: string;
  readonly path: string;
  readonly message: RegExp;
}

const citraMyrcene = 'Citra,myrcene,,60,70,pct_of_oil,as-is,,n.s.,MEMORY-GENERAL,memory';
/** The row that decides the cell: printed goes before recalled. */
const citraPrinted = 'Citra,myrcene,,60,65,pct_of_oil,n.s.,,n.s.,OXCOMP,seen';
const citraLine = lineOf('measurements.csv', citraMyrcene);
const agnusLine = lineOf('varieties.csv', 'agnus,');
const sh3Line = lineOf('estimates.csv', 'sh3,');

const cases: readonly Case[] = [
  {
    what: 'a source of a measurement that is not listed',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace('MEMORY-GENERAL', 'NOWHERE-1999'),
    path: `data/measurements.csv, line ${citraLine}, column source_id`,
    message: /NOWHERE-1999 is not listed/,
  },
  {
    what: 'a source of a parameter that is not listed',
    file: 'sources.csv',
    from: '\nLOSS19,',
    to: '\nLOSS18,',
    path: `data/parameters.csv, line ${lineOf('parameters.csv', 'loss.dry_hop.pellet_90,')}, column sources`,
    message: /LOSS19 is not listed/,
  },
  {
    what: 'an oil that adds up to more than itself',
    file: 'measurements.csv',
    from: citraPrinted,
    to: citraPrinted.replace('60,65', '90,98'),
    path: 'data/measurements.csv, variety Citra',
    message: /add up to 1\d\d\.\d % at their low figures/,
  },
  {
    what: 'an oil whose centres alone add up to too much',
    file: 'measurements.csv',
    from: citraPrinted,
    to: citraPrinted.replace('60,65', '60,120'),
    path: 'data/measurements.csv, variety Citra',
    message: /add up to 11\d\.\d % at their central figures/,
  },
  {
    what: 'a word of tasters that has no row',
    file: 'words.csv',
    from: '\ngooseberry,',
    to: '\ngooseberies,',
    path: `data/sensory.csv, line ${lineOf('sensory.csv', 'Citra,gooseberry,handbook')}, column word`,
    message: /the word gooseberry is not known/,
  },
  {
    what: 'a word of tasters of a variety that is not listed',
    file: 'sensory.csv',
    from: 'Citra,gooseberry,handbook',
    to: 'Citron,gooseberry,handbook',
    path: `data/sensory.csv, line ${lineOf('sensory.csv', 'Citra,gooseberry,handbook')}, column variety`,
    message: /variety Citron is not listed/,
  },
  {
    what: 'a recalled word that is told as read',
    file: 'sensory.csv',
    from: 'Citra,grapefruit,memory,MEMORY-WORDS,memory',
    to: 'Citra,grapefruit,panel,MEMORY-WORDS,seen',
    path: `data/sensory.csv, line ${lineOf('sensory.csv', 'Citra,grapefruit,memory')}, column kind`,
    message: /kind panel and status seen do not fit MEMORY-WORDS/,
  },
  {
    what: 'a unit that is not known',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace('pct_of_oil', 'ppm'),
    path: `data/measurements.csv, line ${citraLine}, column unit`,
    message: /unit ppm is not known for myrcene/,
  },
  {
    what: 'an analyte that is not known',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace('myrcene', 'mircene'),
    path: `data/measurements.csv, line ${citraLine}, column analyte`,
    message: /analyte mircene is not known/,
  },
  {
    what: 'a recalled figure passed off as read',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace(',memory', ',seen'),
    path: `data/measurements.csv, line ${citraLine}, column status`,
    message: /status seen comes from MEMORY-GENERAL, a source of tier M/,
  },
  {
    what: 'a source of recalled figures ranked as one that was read',
    file: 'sources.csv',
    from: '\nMEMORY-GENERAL,M,',
    to: '\nMEMORY-GENERAL,A,',
    path: `data/measurements.csv, line ${lineOf('measurements.csv', 'Agnus,alpha,,9,14')}, column status`,
    message: /status memory comes from MEMORY-GENERAL, a source of tier A/,
  },
  {
    what: 'a source of measurements without a tier',
    file: 'sources.csv',
    from: '\nKROFTA-2002,A,',
    to: '\nKROFTA-2002,,',
    path: `data/measurements.csv, line ${lineOf('measurements.csv', 'Agnus,alpha,,11,15')}, column source_id`,
    message: /KROFTA-2002 has no tier/,
  },
  {
    what: 'a measured variety that is not listed',
    file: 'varieties.csv',
    from: 'agnus,Agnus,',
    to: 'agnus,Agnes,',
    path: `data/measurements.csv, line 2, column variety`,
    message: /variety Agnus is not listed/,
  },
  {
    what: 'a range upside down',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace('60,70', '70,60'),
    path: `data/measurements.csv, line ${citraLine}, column min`,
    message: /min 70 is above max 60/,
  },
  {
    what: 'a decimal comma',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace('60,70', '"60,5",70'),
    path: `data/measurements.csv, line ${citraLine}, column min`,
    message: /"60,5" is not allowed/,
  },
  {
    what: 'a row with a cell too few',
    file: 'measurements.csv',
    from: citraMyrcene,
    to: citraMyrcene.replace(',60,70', ',60'),
    path: `data/measurements.csv, line ${citraLine}`,
    message: /the row has 14 cells, the header has 15/,
  },
  {
    what: 'a column that is missing',
    file: 'varieties.csv',
    from: 'forms_sources',
    to: 'form_source',
    path: 'data/varieties.csv, line 1',
    message: /forms_sources is missing, form_source is not known/,
  },
  {
    what: 'a form that does not exist',
    file: 'varieties.csv',
    from: 'pellet_90,memory',
    to: 'pellet_91,memory',
    path: `data/varieties.csv, line ${agnusLine}, column forms`,
    message: /"pellet_91" is not allowed/,
  },
  {
    what: 'a country that is not known',
    file: 'varieties.csv',
    from: 'agnus,Agnus,CZ',
    to: 'agnus,Agnus,XX',
    path: `data/varieties.csv, line ${agnusLine}, column origin`,
    message: /country XX is not known/,
  },
  {
    what: 'two varieties of one id',
    file: 'varieties.csv',
    from: '\nahtanum,',
    to: '\nagnus,',
    path: `data/varieties.csv, line ${agnusLine + 1}, column id`,
    message: /agnus stands here a second time/,
  },
  {
    what: 'an estimate of a required figure',
    file: 'estimates.csv',
    from: 'sh3,sh3_ug_per_kg,',
    to: 'sh3,alpha_pct,',
    path: `data/estimates.csv, line ${sh3Line}, column analyte`,
    message: /alpha_pct is not a figure that may be estimated/,
  },
  {
    what: 'a figure that nobody estimates',
    file: 'estimates.csv',
    from: 'sh3,sh3_ug_per_kg,all',
    to: 'sh3,sh3_ug_per_kg,europe',
    path: 'data/estimates.csv',
    message: /sh3_ug_per_kg has no estimate that applies to every variety/,
  },
  {
    what: 'a stated estimate whose centre lies outside',
    file: 'estimates.csv',
    from: 'all,stated,,1,7.7,60',
    to: 'all,stated,,8,7.7,60',
    path: `data/estimates.csv, line ${sh3Line}, column central`,
    message: /low <= central <= high does not hold/,
  },
  {
    what: 'a ratio that nothing supports',
    file: 'estimates.csv',
    from: 'caryophyllene_oxide/caryophyllene',
    to: 'caryophyllene_oxides/caryophyllene',
    path: `data/estimates.csv, line ${lineOf('estimates.csv', 'humulene_epoxides,')}, column method`,
    message: /finds no figure to work with/,
  },
  {
    what: 'a parameter of a class that no compound has',
    file: 'parameters.csv',
    from: 'boil.rate.msp4,',
    to: 'boil.rate.thiol,',
    path: `data/parameters.csv, line ${lineOf('parameters.csv', 'boil.rate.msp4,')}, column id`,
    message: /no compound is of the class of boil\.rate\.thiol/,
  },
  {
    what: 'a class without its parameter',
    file: 'parameters.csv',
    from: 'boil.rate.msp4,',
    to: 'boil.rate.thiol,',
    path: 'data/parameters.csv',
    message: /parameter boil\.rate\.msp4 is missing/,
  },
  {
    what: 'a parameter whose default lies outside its range',
    file: 'parameters.csv',
    from: 'oil.density,Density of hop oil,0.80,0.85,0.90',
    to: 'oil.density,Density of hop oil,0.86,0.85,0.90',
    path: `data/parameters.csv, line ${lineOf('parameters.csv', 'oil.density,')}`,
    message: /not allowed/,
  },
  {
    what: 'half a threshold',
    file: 'compounds.csv',
    from: 'hydrocarbon,beer,9,30,1000',
    to: 'hydrocarbon,beer,9,30,',
    path: `data/compounds.csv, line ${lineOf('compounds.csv', 'myrcene,')}`,
    message: /threshold\.high is not allowed/,
  },
  {
    what: 'a threshold of a school whose range does not hold it',
    file: 'thresholds.csv',
    from: 'linalool,us,41.5,83,166',
    to: 'linalool,us,95,83,166',
    path: `data/thresholds.csv, line ${lineOf('thresholds.csv', 'linalool,us')}`,
    message: /not allowed/,
  },
  {
    what: 'a school twice',
    file: 'thresholds.csv',
    from: 'geraniol,us,',
    to: 'linalool,us,',
    path: `data/thresholds.csv, line ${lineOf('thresholds.csv', 'geraniol,us')}, column school`,
    message: /a second time/,
  },
  {
    what: 'compounds out of order',
    file: 'compounds.csv',
    from: '\nlimonene,limonene',
    to: '\nmyrcene,limonene',
    path: 'data/compounds.csv',
    message: /not those of shared\/ids\.ts in their order/,
  },
];

describe('a spoiled table is refused', () => {
  it('while the committed ones hold', () => {
    expect(problemsOf(inputs)).toEqual([]);
  });

  it.each(cases)('$what', ({ file, from, to, path, message }) => {
    const problems = problemsOf(spoiled(file, from, to));
    const found = problems.find(
      (problem) => problem.path === path && message.test(problem.message),
    );
    expect(found, JSON.stringify(problems.slice(0, 3))).toBeDefined();
    expect(found?.cure).toMatch(/\w{3}/);
  });

  it('counts lines as an editor does, also after a cell with a line break', () => {
    const broken = spoiled(
      'measurements.csv',
      ',HGA-MANUAL,seen,,,,"',
      ',HGA-MANUAL,seen,,,,"two\nlines, ',
    );
    broken['measurements.csv'] = broken['measurements.csv'].replace(
      citraMyrcene,
      citraMyrcene.replace('pct_of_oil', 'ppm'),
    );
    expect(problemsOf(broken).map(({ path }) => path)).toEqual([
      `data/measurements.csv, line ${citraLine + 1}, column unit`,
    ]);
  });

  it('reads files with the line ends of any system', () => {
    const table = inputs['varieties.csv'].replaceAll('\n', '\r\n');
    expect(problemsOf({ ...inputs, 'varieties.csv': table })).toEqual([]);
  });
});

describe('a recalled source inside a cell that claims to be read', () => {
  it('is found in the finished table as well', () => {
    const hop = hopNamed('Agnus');
    const alpha = hop.cells.alpha_pct;
    if (alpha === undefined) throw new Error('Agnus has no alpha');
    const blended = { ...alpha, sources: [...alpha.sources, 'MEMORY-GENERAL'] };
    const tiers = new Map([['MEMORY-GENERAL', 'M' as const]]);
    expect(checkHops([hop], tiers)).toEqual([]);
    const cells = { ...hop.cells, alpha_pct: blended };
    const [problem, ...others] = checkHops([{ ...hop, cells }], tiers);
    expect(others).toEqual([]);
    expect(problem?.message).toBe('recalled MEMORY-GENERAL enters the seen cell alpha_pct');
  });
});
