// The shape of the project holds: layers and the rooms in them import one way only, the computing layers
// stay pure, no folder and no file is too large, every file says at its top what it decides. The checker
// itself is shown planted faults first.
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import project from '../package.json' with { type: 'json' };
import { aliasesOf, faultsOf, layerOf, treeFaults } from './architecture.ts';
import { MAY_IMPORT, ROOMS, type Layer } from './layers.ts';

const ROOT = new URL('../', import.meta.url);
const FOLDERS = ['data', 'shared', 'seeds', 'src', 'tests'];
const aliases = aliasesOf(project.imports);

const HEADER = '// What this file decides.\n';
const faults = (path: string, code: string) => faultsOf({ path, text: HEADER + code }, aliases);

/** Every source file and README of the project, tool files at the root included. */
function projectFiles() {
  const inFolders = FOLDERS.flatMap((folder) =>
    readdirSync(new URL(`${folder}/`, ROOT), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => relative(fileURLToPath(ROOT), join(entry.parentPath, entry.name)))
      .map((path) => path.replaceAll('\\', '/')),
  );
  const atRoot = readdirSync(ROOT, 'utf8').filter((name) => /\.config\.(ts|js)$/.test(name));
  return [...inFolders, ...atRoot]
    .filter((path) => /\.(ts|js|svelte)$|\/README\.md$/.test(path))
    .map((path) => ({ path, text: readFileSync(new URL(path, ROOT), 'utf8') }));
}

describe('the checker finds planted faults', () => {
  test.each<[string, string, string]>([
    [
      'a step backwards',
      'src/lib/engine/a.ts',
      `import { x } from '#optimize/questions/options.ts';`,
    ],
    ['a type taken backwards', 'shared/a.ts', `import type { X } from '#engine/tables/model.ts';`],
    ['a re-export backwards', 'src/lib/optimize/a.ts', `export { x } from '#ui/x.ts';`],
    ['a dynamic import', 'src/lib/storage/a.ts', `await import('#engine/predict/predict.ts');`],
    ['an import type', 'src/lib/engine/a.ts', `let x: import('#state/x.ts').X;`],
    ['an address backwards', 'src/lib/state/a.ts', `new URL('../ui/a.ts', import.meta.url);`],
    [
      'a relative path across',
      'src/lib/optimize/a.ts',
      `import { x } from '../engine/tables/model.ts';`,
    ],
    ['the $lib alias', 'src/lib/ui/a.ts', `import { x } from '$lib/engine/tables/model.ts';`],
    ['no file ending', 'src/lib/optimize/a.ts', `import { x } from '#engine/tables/model';`],
    ['code of data/', 'src/cli/a.ts', `import { x } from '#data/build/read.ts';`],
    ['code of data/ on the page', 'src/routes/a.ts', `import { x } from '#data/build/read.ts';`],
    ['a table that is no JSON', 'src/lib/engine/a.ts', `import x from '#data/hops.csv';`],
    ['Svelte in the engine', 'src/lib/engine/a.ts', `import { tick } from 'svelte';`],
    ['Svelte in storage', 'src/lib/storage/a.ts', `import { tick } from 'svelte';`],
    ['Kit in the engine', 'src/lib/engine/a.ts', `import { base } from '$app/paths';`],
    ['files in the optimizer', 'src/lib/optimize/a.ts', `import { x } from 'node:fs';`],
    ['files on the page', 'src/routes/a.ts', `import { x } from 'node:fs';`],
    ['an odd package in shared', 'shared/a.ts', `import { x } from 'idb';`],
    ['the DOM', 'src/lib/engine/a.ts', `export const x = document.title;`],
    ['the network', 'src/lib/optimize/a.ts', `export const x = () => fetch('x');`],
    ['a mailbox elsewhere', 'src/lib/optimize/a.ts', `self.onmessage = () => {};`],
    [
      'more than a mailbox',
      'src/lib/optimize/worker/worker.ts',
      `self.onmessage = () => fetch('x');`,
    ],
    ['printing', 'shared/a.ts', `console.log(1);`],
    ['the way out', 'src/lib/ui/a.ts', `import { x } from '../../../package.json';`],
    ['charts that know the page', 'src/lib/charts/a.ts', `import { x } from '#ui/kit/x.ts';`],
    ['Svelte in the wording', 'src/lib/wording/a.ts', `import { tick } from 'svelte';`],
    ['a room after', 'src/lib/optimize/lp/a.ts', `import { x } from '#optimize/search/x.ts';`],
    ['a type of a room after', 'shared/schemas/a.ts', `let x: import('#shared/lists/x.ts').X;`],
    ['a room after the root', 'shared/a.ts', `import { x } from '#shared/lists/csv.ts';`],
    ['rooms crossed by path', 'src/lib/ui/shell/a.ts', `import { x } from '../kit/download.ts';`],
    ['an alias in a room', 'src/lib/ui/kit/a.ts', `import { x } from '#ui/kit/download.ts';`],
    ['a drawer', 'src/lib/ui/utils.ts', `export const x = 1;`],
  ])('%s', (_, path, code) => {
    expect(faults(path, code)).toHaveLength(1);
  });

  test('a fault inside a component', () => {
    const text = `<!-- What it shows. -->\n<script lang="ts">\nimport x from '#data/build/rows.ts';\n</script>\n<p>{x}</p>`;
    expect(faultsOf({ path: 'src/lib/ui/A.svelte', text }, aliases)).toHaveLength(1);
  });

  test('a file without a word at its top', () => {
    const bare = { path: 'shared/a.ts', text: 'export const x = 1; // too late' };
    expect(faultsOf(bare, aliases)).toHaveLength(1);
    const component = { path: 'src/lib/ui/A.svelte', text: '<script>let x = 1;</script>' };
    expect(faultsOf(component, aliases)).toHaveLength(1);
  });
});

describe('the checker of the tree finds planted faults', () => {
  const room = (folder: string) => [
    { path: `${folder}/README.md`, text: 'What is decided here.\n' },
    { path: `${folder}/a.ts`, text: HEADER },
  ];
  const sound = Object.entries(ROOMS).flatMap(([layer, rooms]) =>
    rooms.flatMap((name) => room((layer + name).replace(/\/$/, ''))),
  );
  const many = (folder: string, count: number) =>
    Array.from({ length: count }, (_, i) => ({ path: `${folder}/b${i}.ts`, text: HEADER }));

  test('and nothing in a sound one', () => {
    const full = [
      ...many('src/lib/ui/kit', 23),
      { path: 'src/cli/b.ts', text: '//\n'.repeat(400) },
    ];
    expect(treeFaults([...sound, ...full])).toEqual([]);
  });

  test.each<[string, { path: string; text: string }[], string]>([
    ['a file in no room', many('src/lib/engine', 1), 'src/lib/engine/b0.ts: lies in no room'],
    ['an unknown room', many('src/lib/ui/attic', 1), 'src/lib/ui/attic/b0.ts: lies in no room'],
    ['a full room', many('src/lib/ui/kit', 24), 'src/lib/ui/kit: 25 files'],
    ['a full folder of tests', many('tests/engine', 25), 'tests/engine: 25 files'],
    [
      'a long file',
      [{ path: 'src/cli/b.ts', text: '//\n'.repeat(401) }],
      'src/cli/b.ts: 401 lines',
    ],
  ])('%s', (_, added, fault) => {
    expect(treeFaults([...sound, ...added])).toEqual([expect.stringContaining(fault)]);
  });

  test('one name for two types, but not the Props of components', () => {
    const code = '<!-- What. --><script lang="ts">interface Props { a: 1 }; type Row = 1;</script>';
    const shown = ['A', 'B'].map((name) => ({ path: `src/lib/ui/kit/${name}.svelte`, text: code }));
    expect(treeFaults([...sound, ...shown])).toEqual([
      'src/lib/ui/kit/B.svelte: declares Row, a name that src/lib/ui/kit/A.svelte has for a type',
    ]);
  });

  test('a room without a README, with a long or a stale one, and without a file', () => {
    const readme = 'src/lib/ui/kit/README.md';
    const bare = sound.filter(({ path }) => path !== readme);
    expect(treeFaults(bare)).toEqual([expect.stringContaining('src/lib/ui/kit/: has no README')]);
    const long = [...bare, { path: readme, text: 'line\n'.repeat(11) }];
    expect(treeFaults(long)).toEqual([expect.stringContaining('more than 10 lines')]);
    const stale = [...bare, { path: readme, text: 'Begin with `a.ts`, then `gone.ts`.\n' }];
    expect(treeFaults(stale)).toEqual([expect.stringContaining('names gone.ts')]);
    const empty = sound.filter(({ path }) => !path.startsWith('src/lib/ui/kit/'));
    expect(treeFaults(empty)).toEqual([expect.stringContaining('without a file')]);
  });
});

describe('the checker lets good files pass', () => {
  test.each<[string, string, string]>([
    ['a table', 'src/lib/engine/a.ts', `import x from '#data/generated/hops.json';`],
    [
      'the layer before',
      'src/lib/optimize/a.ts',
      `import { x } from '#engine/predict/predict.ts';`,
    ],
    ['a neighbour', 'src/lib/engine/a.ts', `import { x } from './b.ts';`],
    ['a room before', 'shared/schemas/a.ts', `import { x } from '#shared/ids.ts';`],
    ['a room long before', 'src/lib/ui/shell/a.ts', `import { x } from '#ui/kit/download.ts';`],
    ['a folder of a room', 'src/lib/ui/kit/a.ts', `import { x } from './fields/b.ts';`],
    [
      'a query for the bundler',
      'src/lib/ui/a.ts',
      `import x from '#optimize/worker/worker.ts?worker';`,
    ],
    ['a member called document', 'shared/a.ts', `export const x = { document: 1 }.document;`],
    ['an argument called self', 'shared/a.ts', `export const x = (self: number) => self + 1;`],
    [
      'a worker',
      'src/routes/a.ts',
      `new URL('../lib/optimize/worker/worker.ts', import.meta.url);`,
    ],
    ['a mailbox', 'src/lib/optimize/worker/worker.ts', `self.onmessage = () => {};`],
    ['Node in the command line', 'src/cli/a.ts', `import { x } from 'node:fs';`],
  ])('%s', (_, path, code) => {
    expect(faults(path, code)).toEqual([]);
  });
});

test('no two layers may import each other, directly or round about', () => {
  const visit = (layer: Layer, path: readonly Layer[]): void => {
    expect(path, `circle at ${[...path, layer].join(' -> ')}`).not.toContain(layer);
    for (const next of MAY_IMPORT[layer]) visit(next, [...path, layer]);
  };
  for (const layer of Object.keys(MAY_IMPORT) as Layer[]) visit(layer, []);
});

test('every alias leads to a layer', () => {
  for (const folder of Object.values(aliases)) expect(layerOf(folder), folder).toBeDefined();
});

test('the project keeps its shape', () => {
  const files = projectFiles();
  const sources = files.filter(({ path }) => !path.endsWith('.md'));
  expect(sources.length).toBeGreaterThan(20);
  expect(sources.flatMap((file) => faultsOf(file, aliases))).toEqual([]);
  expect(treeFaults(files)).toEqual([]);
});
