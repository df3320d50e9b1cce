// What the documents say of the data must be what the data say, and the files and parameters they name
// must exist.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { basename } from 'node:path';
import { expect, test } from 'vitest';
import hopRows from '#data/generated/hops.json' with { type: 'json' };
import parameters from '#data/generated/parameters.json' with { type: 'json' };
import { swapSchema } from '#shared/schemas/asked.ts';
import { scheduleSchema } from '#shared/schemas/brief.ts';
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

/** Parameters a text names in code, as patterns: `<word>` stands for one part. */
function parametersNamed(text: string): string[] {
  const heads = new Set(Object.keys(parameters).map((id) => id.split('.')[0]));
  const names = [...text.matchAll(/`([a-z][a-z0-9_]*(?:\.(?:<[a-z]+>|[a-z0-9_]+))+)`/g)];
  return names.map((m) => m[1]!).filter((name) => heads.has(name.split('.')[0]));
}

// That every parameter stands in an equation is held by tests of the equations themselves.
test('every process parameter the decisions name is one', () => {
  const unknown = (text: string) =>
    parametersNamed(text).filter((name) => {
      const pattern = name.replaceAll('.', '\\.').replace(/<[a-z]+>/g, '\\w+');
      return !Object.keys(parameters).some((id) => new RegExp(`^${pattern}$`).test(id));
    });
  expect(unknown('`boil.rate.<class>` and `boil.no_such`')).toEqual(['boil.no_such']);
  const text = read('src/lib/engine/DECISIONS.md');
  expect(parametersNamed(text).length).toBeGreaterThan(5);
  expect(unknown(text)).toEqual([]);
});

test('the schedule in README.md is one the program takes', () => {
  const [, document] = read('README.md').split(/^.*<<'JSON'$|^JSON$/m);
  const schedule = scheduleSchema.parse(JSON.parse(document!));
  for (const { hop } of schedule.additions) expect(hops.map(({ name }) => name)).toContain(hop);
  const swap = readme.match(/add `("replace": "(.+?)", .+?)` to the same document/);
  const replacing = swapSchema.parse(JSON.parse(document!.replace('{', `{ ${swap![1]!},`)));
  expect(schedule.additions.map(({ hop }) => hop)).toContain(replacing.replace);
});

const DOCUMENTS = [
  'README.md',
  'DEVELOPERS.md',
  'src/lib/engine/DECISIONS.md',
  'src/lib/optimize/DECISIONS.md',
  'src/lib/optimize/PROOF.md',
];

test.each(DOCUMENTS)('%s names files that exist', (document) => {
  const links = [...read(document).matchAll(/\]\((?!https?:|#)([^)#]+)/g)].map((m) => m[1]!);
  const seeds = [...read(document).matchAll(/\bseeds\/[\w/.-]+\.(?:json|csv)/g)].map((m) => m[0]);
  expect(links.length).toBeGreaterThan(0);
  const wanted = [
    ...links.map((link) => new URL(link, new URL(document, ROOT))),
    ...seeds.map((seed) => new URL(seed, ROOT)),
  ];
  for (const file of wanted) {
    expect(existsSync(file), `${document} names ${file.pathname}`).toBe(true);
  }
});

test('the guide for developers is short, and names sources that exist', () => {
  const guide = read('DEVELOPERS.md');
  expect(guide.split('\n').length - 1).toBeLessThanOrEqual(300);
  const here = new Set(
    ['data', 'seeds', 'shared', 'src', 'tests'].flatMap((folder) =>
      readdirSync(new URL(`${folder}/`, ROOT), { recursive: true, encoding: 'utf8' }).map((path) =>
        basename(path),
      ),
    ),
  );
  const missing = (text: string) =>
    [...text.matchAll(/[\w.-]+\.(?:ts|svelte|csv)\b/g)]
      .map((m) => m[0])
      .filter((name) => !here.has(name));
  expect(missing('`term.ts`, `no-such.ts`')).toEqual(['no-such.ts']);
  for (const document of DOCUMENTS) expect(missing(read(document)), document).toEqual([]);
});
