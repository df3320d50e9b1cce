// One Vite set-up for the app; the tests run in plain Node, without a DOM. `unit` tests need nothing
// but the sources, `built` tests look at the finished site in build/.
import { sveltekit } from '@sveltejs/kit/vite';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';

/**
 * The pages make no JSON Schema of their schemas, but every schema of zod brings along what would. It
 * stays out of what a browser loads; whoever calls for it there gets an error.
 */
function withoutJsonSchema(): Plugin {
  return {
    name: 'without-json-schema',
    apply: 'build',
    transform: {
      filter: { id: /zod\/v4\/core\/(to-json-schema|json-schema-processors)\.js$/ },
      handler(code, _, options) {
        if (options?.ssr) return null;
        const left: string[] = [];
        // What makes JSON Schema is exported no more, so that it is dropped as unused.
        const rest = code.replace(
          /^export (const (\w+(?:Processor|Method)) =)/gm,
          (_, kept, name) => {
            left.push(`leftOut as ${name}`);
            return kept as string;
          },
        );
        return `${rest}
          const leftOut = () => () => { throw new Error('JSON Schema is left out of the pages'); };
          export { ${left.join(', ')} };`;
      },
    },
  };
}

export default defineConfig({
  plugins: [sveltekit(), withoutJsonSchema()],
  worker: { format: 'es' },
  test: {
    environment: 'node',
    testTimeout: 60_000,
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
          exclude: ['tests/built/**'],
          globalSetup: ['tests/cli/bundle.ts'],
        },
      },
      { extends: true, test: { name: 'built', include: ['tests/built/**/*.test.ts'] } },
    ],
  },
});
