// One Vite set-up for the app; the tests run in Node, without a DOM. `unit` tests need nothing but the
// sources, `page` tests the compiler of Svelte, `built` tests look at the finished site in build/.
import { fileURLToPath } from 'node:url';
import { sveltekit } from '@sveltejs/kit/vite';
import type { Plugin, Rolldown } from 'vite';
import { defineConfig } from 'vitest/config';

/**
 * Whatever the first view shares with other pages or with parts that are loaded on demand comes in one
 * script: cut up by who shares it, as it would be, it makes 40 scripts, a tenth larger together.
 */
function firstViewInOne(): Plugin {
  let first: ReadonlySet<string> | null = null;
  const shared = (id: string, graph: Rolldown.ChunkingContext) => {
    first ??= importedFrom(['src/routes/+layout.svelte', 'src/routes/+page.svelte'], graph);
    return first.has(id) ? 'first' : null;
  };
  return {
    name: 'first-view-in-one',
    apply: (_, { command, isSsrBuild }) => command === 'build' && isSsrBuild !== true,
    config: () => ({
      build: {
        rolldownOptions: {
          // How long plugins took says nothing to who starts the program.
          checks: { bundlerTimings: false },
          output: { codeSplitting: { groups: [{ name: shared, minShareCount: 2 }] } },
        },
      },
    }),
  };
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
  plugins: [sveltekit(), firstViewInOne()],
  worker: { format: 'es' },
  test: {
    environment: 'node',
    // Only what hangs: a busy machine may take ten times as long.
    testTimeout: 600_000,
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
