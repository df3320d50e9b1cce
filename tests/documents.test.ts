// What the documents say of the data must be what the data say, every process parameter must stand in
// the equations, and the files they name must exist.
import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import hopRows from '#data/generated/hops.json' with { type: 'json' };
import parameters from '#data/generated/parameters.json' with { type: 'json' };
import { scheduleSchema, swapSchema } from '#shared/schemas/brief.ts';
import type { Hop } from '#shared/schemas/tables.ts';
import { withFigures } from '../data/build/readme.ts';

const ROOT = new URL('../', import.meta.url);
const read = (file: string) => readFileSync(new URL(file, ROOT), 'utf8');
/** Line breaks are for the writer only. */
const readme = read('README.md').replace(/\s+/g, ' ');

const hops = hopRows as unknown as Hop[];

test('README.md gives the figures of the tables', () => {
  const text = read('README.md');
  expect(withFigures(text), 'run npm run readme').toBe(text);
  expect(withFigures(text.replace(/\d+ varieties/, '7 varieties'))).toBe(text);
  expect(() => withFigures(text.replace('<!-- written by', '<!--'))).toThrow(/not there once/);
});

test('the version of Node is the same everywhere', () => {
  const { engines } = JSON.parse(read('package.json')) as { engines: { node: string } };
  const version = read('.nvmrc').trim();
  expect(engines.node).toBe(`>=${version}`);
  expect(readme).toContain(`https://nodejs.org) ${version} or newer`);
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
