// What the documents say of the data must be what the data say, every process parameter must stand in
// the equations, and the files they name must exist.
import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import compounds from '#data/generated/compounds.json' with { type: 'json' };
import errorRows from '#data/generated/estimate-errors.json' with { type: 'json' };
import hopRows from '#data/generated/hops.json' with { type: 'json' };
import parameters from '#data/generated/parameters.json' with { type: 'json' };
import board from '#data/generated/scoreboard.json' with { type: 'json' };
import { REQUIRED_ANALYTES, type Status } from '#shared/ids.ts';
import { scheduleSchema, swapSchema } from '#shared/schemas/brief.ts';
import { foldText } from '#shared/scoreboard.ts';
import type { Cell, Hop } from '#shared/schemas/tables.ts';

const ROOT = new URL('../', import.meta.url);
const read = (file: string) => readFileSync(new URL(file, ROOT), 'utf8');
/** Line breaks are for the writer only. */
const readme = read('README.md').replace(/\s+/g, ' ');

const hops = hopRows as unknown as Hop[];
const offered = hops.filter((hop) => hop.missing.length === 0);
const cellsOf = (hop: Hop) => Object.values(hop.cells) as Cell[];
const deciding = (hop: Hop) => REQUIRED_ANALYTES.map((analyte) => hop.cells[analyte]!);
const wasRead = ({ status }: Cell) => status === 'seen' || status === 'derived';

function percent(cells: readonly Cell[], ...statuses: Status[]): string {
  const share = cells.filter(({ status }) => statuses.includes(status)).length / cells.length;
  return `${Math.round(share * 100)} %`;
}

test('the share of recalled figures', () => {
  const figures = offered.flatMap(deciding);
  expect(readme).toContain(`The table holds ${hops.length} varieties; ${offered.length} have`);
  expect(readme).toContain(`**${percent(figures, 'memory')} are recalled from memory**`);
  expect(readme).toContain(`${percent(figures, 'seen', 'derived')} were read in a source`);
  const allRead = offered.filter((hop) => deciding(hop).every(wasRead)).length;
  expect(readme).toContain(`Only ${allRead} varieties have all six read`);
});

test('the status of all figures', () => {
  const figures = hops.flatMap(cellsOf);
  expect(readme).toContain(`${percent(figures, 'seen', 'derived')} were read or derived`);
  expect(readme).toContain(`${percent(figures, 'memory')} are recalled, and`);
  expect(readme).toContain(`and ${percent(figures, 'estimated')} are estimates`);
});

test('how far off an estimate is', () => {
  const off = (id: string) =>
    errorRows.find(({ analyte }) => analyte === `${id}_pct_of_oil`)!.medianFold!.toFixed(1);
  expect(readme).toContain(
    `a factor of ${off('linalool')} (linalool), ${off('geraniol')} (geraniol) or ${off('myrcene')} (myrcene)`,
  );
});

test('the number of thresholds', () => {
  const known = compounds.filter(({ threshold }) => threshold !== null).length;
  expect(readme).toContain(
    `Of the ${compounds.length} compounds ${known} have an odour threshold in beer`,
  );
});

test('the score against published experiments', () => {
  const { all, independent, medianFold, numeric, independentNumeric } = board;
  expect(readme).toContain(
    `${all.held} of ${all.of} predictions hold, but ${independent.held} of ${independent.of} where`,
  );
  expect(readme).toContain(`off by a factor of ${foldText(medianFold)}, but`);
  expect(readme).toContain(`${independentNumeric.of} of ${numeric.of} are from such experiments`);
  expect(readme).toContain(`and of these ${independentNumeric.held} holds`);
});

/** Parameter names of a text as patterns: `<word>` stands for one part, `*` for any rest. */
function parameterPatterns(text: string): RegExp[] {
  const names = text.match(/\b[a-z][a-z0-9_]*(?:\.(?:<[a-z]+>|[a-z0-9_]+|\*))+/g) ?? [];
  return names.map((name) => {
    const pattern = name.replaceAll('.', '\\.').replace(/<[a-z]+>/g, '\\w+');
    return new RegExp(`^${pattern.replace('*', '.+')}$`);
  });
}

test('every process parameter stands in the equations', () => {
  const [, equations = ''] = read('DEVELOPERS.md').split('## The equations');
  const patterns = parameterPatterns(equations.split('\n## ')[0]!);
  expect(patterns.some((p) => p.test('no.such_parameter'))).toBe(false);
  const missing = Object.keys(parameters).filter((id) => !patterns.some((p) => p.test(id)));
  expect(missing).toEqual([]);
});

test('the schedule in README.md is one the program takes', () => {
  const [, document] = read('README.md').split(/^.*<<'JSON'$|^JSON$/m);
  const schedule = scheduleSchema.parse(JSON.parse(document!));
  for (const { hop } of schedule.additions) expect(hops.map(({ name }) => name)).toContain(hop);
  const swap = readme.match(/add `("replace": "(.+?)", .+?)` to the same document/);
  const replacing = swapSchema.parse(JSON.parse(document!.replace('{', `{ ${swap![1]!},`)));
  expect(schedule.additions.map(({ hop }) => hop)).toContain(replacing.replace);
});

test.each(['README.md', 'DEVELOPERS.md'])('%s names files that exist', (document) => {
  const links = [...read(document).matchAll(/\]\((?!https?:|#)([^)#]+)/g)].map((m) => m[1]!);
  const seeds = [...read(document).matchAll(/\bseeds\/[\w/.-]+\.(?:json|csv)/g)].map((m) => m[0]);
  expect(links.length).toBeGreaterThan(0);
  for (const file of [...links, ...seeds]) {
    expect(existsSync(new URL(file, ROOT)), `${document} names ${file}`).toBe(true);
  }
});
