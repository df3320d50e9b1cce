// The shape of the project holds: layers import one way only, the computing layers stay pure, every
// file says at its top what it decides. The checker itself is shown planted faults first.
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import project from '../package.json' with { type: 'json' };
import { aliasesOf, faultsOf, layerOf, MAY_IMPORT, type Layer } from './architecture.ts';

const ROOT = new URL('../', import.meta.url);
const FOLDERS = ['data', 'shared', 'seeds', 'src', 'tests'];
const aliases = aliasesOf(project.imports);

const HEADER = '// What this file decides.\n';
const faults = (path: string, code: string) => faultsOf({ path, text: HEADER + code }, aliases);

/** Every source file of the project, tool files at the root included. */
function sourceFiles() {
  const inFolders = FOLDERS.flatMap((folder) =>
    readdirSync(new URL(`${folder}/`, ROOT), { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => relative(fileURLToPath(ROOT), join(entry.parentPath, entry.name)))
      .map((path) => path.replaceAll('\\', '/')),
  );
  const atRoot = readdirSync(ROOT, 'utf8').filter((name) => /\.config\.(ts|js)$/.test(name));
  return [...inFolders, ...atRoot]
    .filter((path) => /\.(ts|js|svelte)$/.test(path))
    .map((path) => ({ path, text: readFileSync(new URL(path, ROOT), 'utf8') }));
}

describe('the checker finds planted faults', () => {
  test.each<[string, string, string]>([
    ['a step backwards', 'src/lib/engine/a.ts', `import { x } from '#optimize/contract.ts';`],
    ['a type taken backwards', 'shared/a.ts', `import type { X } from '#engine/model.ts';`],
    ['a re-export backwards', 'src/lib/optimize/a.ts', `export { x } from '#ui/x.ts';`],
    ['a dynamic import', 'src/lib/storage/a.ts', `await import('#engine/predict/predict.ts');`],
    ['an import type', 'src/lib/engine/a.ts', `let x: import('#state/x.ts').X;`],
    ['an address backwards', 'src/lib/state/a.ts', `new URL('../ui/a.ts', import.meta.url);`],
    ['a relative path across', 'src/lib/optimize/a.ts', `import { x } from '../engine/model.ts';`],
    ['the $lib alias', 'src/lib/ui/a.ts', `import { x } from '$lib/engine/model.ts';`],
    ['no file ending', 'src/lib/optimize/a.ts', `import { x } from '#engine/model';`],
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
    ['more than a mailbox', 'src/lib/optimize/worker.ts', `self.onmessage = () => fetch('x');`],
    ['printing', 'shared/a.ts', `console.log(1);`],
    ['the way out', 'src/lib/ui/a.ts', `import { x } from '../../../package.json';`],
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

describe('the checker lets good files pass', () => {
  test.each<[string, string, string]>([
    ['a table', 'src/lib/engine/a.ts', `import x from '#data/generated/hops.json';`],
    [
      'the layer before',
      'src/lib/optimize/a.ts',
      `import { x } from '#engine/predict/predict.ts';`,
    ],
    ['a neighbour', 'src/lib/engine/a.ts', `import { x } from './model.ts';`],
    ['a folder up inside the layer', 'shared/schemas/a.ts', `import { x } from '../ids.ts';`],
    ['a query for the bundler', 'src/lib/ui/a.ts', `import x from '#optimize/worker.ts?worker';`],
    ['a member called document', 'shared/a.ts', `export const x = { document: 1 }.document;`],
    ['an argument called self', 'shared/a.ts', `export const x = (self: number) => self + 1;`],
    ['a worker', 'src/routes/a.ts', `new URL('../lib/optimize/worker.ts', import.meta.url);`],
    ['a mailbox', 'src/lib/optimize/worker.ts', `self.onmessage = () => {};`],
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
  const files = sourceFiles();
  expect(files.length).toBeGreaterThan(20);
  expect(files.flatMap((file) => faultsOf(file, aliases))).toEqual([]);
});
