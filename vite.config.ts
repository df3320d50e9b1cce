// One Vite set-up for the app; the tests run in Node, without a DOM. `unit` tests need nothing but the
// sources, `page` tests the compiler of Svelte, `built` tests look at the finished site in build/.
import { fileURLToPath } from 'node:url';
import { sveltekit } from '@sveltejs/kit/vite';
import type { Plugin, Rolldown } from 'vite';
import { defineConfig } from 'vitest/config';

/**
 * Cut up by who shares it, what parts of the site share makes a hundred scripts, and to ask for fifty of them takes
 * a slow phone longer than to read them. What the first view shares with anything comes in one script; so does what
 * the pages of hops and of the stock share, and what is drawn from the hop table on demand.
 */
function fewScripts(): Plugin {
  const page = (path: string) => `src/routes/${path}/+page.svelte`;
  const ofFirst = importsOf('src/routes/+layout.svelte', 'src/routes/+page.svelte');
  const ofHops = importsOf(page('hops'));
  const ofStock = importsOf(page('stock'));
  const ofEvidence = importsOf(page('evidence'));
  const ofOthers = importsOf(...['compare', 'evidence', 'hops/[hop]', 'own', 'own/hop'].map(page));
  const ofTable = importsOf(
    'src/lib/state/stock/stock-model.ts',
    'src/lib/engine/brewday/sheet.ts',
  );
  const isStyle = (id: string) => id.includes('type=style');
  // The first that takes a module has it, with all that it imports.
  const scripts: readonly (readonly [name: string, has: Membership])[] = [
    // Styles with it: a page links those of scripts it begins with, and what came later would move.
    [
      'first',
      (id, graph) =>
        ofFirst(id, graph) || (isStyle(id) && [ofHops, ofStock].some((of) => of(id, graph))),
    ],
    ['lists', (id, graph) => ofHops(id, graph) && (ofStock(id, graph) || ofEvidence(id, graph))],
    ['hops', ofHops],
    ['stock', ofStock],
    ['others', (id, graph) => ofOthers(id, graph) && ofTable(id, graph)],
    ['table', ofTable],
  ];
  return {
    name: 'few-scripts',
    apply: (_, { command, isSsrBuild }) => command === 'build' && isSsrBuild !== true,
    config: () => ({
      build: {
        rolldownOptions: {
          // How long plugins took says nothing to who starts the program.
          checks: { bundlerTimings: false },
          output: {
            codeSplitting: {
              groups: scripts.map(([name, has]) => ({
                name: (...module) => (has(...module) ? name : null),
                minShareCount: 2,
                entriesAware: name === 'others',
              })),
            },
          },
        },
      },
    }),
  };
}

type Membership = (id: string, graph: Rolldown.ChunkingContext) => boolean;

/** Whether a module is one of some files or imported from there, by import statements alone. */
function importsOf(...files: readonly string[]): Membership {
  let found: ReadonlySet<string> | null = null;
  return (id, graph) => (found ??= importedFrom(files, graph)).has(id);
}

/** The modules of some files and all that they import, by import statements alone. */
function importedFrom(
  files: readonly string[],
  graph: Rolldown.ChunkingContext,
): ReadonlySet<string> {
  const found = new Set<string>();
  const waiting = files.map((file) => fileURLToPath(new URL(file, import.meta.url)));
  for (let id = waiting.pop(); id !== undefined; id = waiting.pop()) {
    if (found.has(id)) continue;
    found.add(id);
    waiting.push(...(graph.getModuleInfo(id)?.importedIds ?? []));
  }
  return found;
}

/** Tests of files that Svelte compiles. */
const ON_THE_PAGE = ['tests/*.test.ts', 'tests/{serve,sharing,state,storage,ui}/**/*.test.ts'];

export default defineConfig({
  plugins: [sveltekit(), fewScripts()],
  worker: { format: 'es' },
  test: {
    environment: 'node',
    // Only what hangs: a busy machine may take ten times as long.
    testTimeout: 600_000,
    hookTimeout: 600_000,
    maxWorkers: '100%',
    // The files of a worker share its modules: to read the tables anew for each took half the time.
    isolate: false,
    benchmark: { include: ['tests/bench/**/*.bench.ts'] },
    projects: [
      {
        extends: true,
        test: {
          name: 'unit',
          include: ['tests/**/*.test.ts'],
          exclude: [...ON_THE_PAGE, 'tests/built/**'],
          globalSetup: ['tests/cli/bundle-once.js'],
          setupFiles: ['tests/drawn.ts'],
          // Node runs the sources as they are: through Vite's runner every use of an import is a lookup,
          // which made searches and bands a fifth slower than the product is.
          experimental: { viteModuleRunner: false },
          execArgv: ['--import', 'tsx'],
        },
      },
      {
        extends: true,
        test: { name: 'page', include: ON_THE_PAGE, setupFiles: ['tests/drawn.ts'] },
      },
      { extends: true, test: { name: 'built', include: ['tests/built/**/*.test.ts'] } },
    ],
  },
});
