// One Vite set-up for the app; the tests run in plain Node, without a DOM. `unit` tests need nothing
// but the sources, `built` tests look at the finished site in build/.
import { sveltekit } from '@sveltejs/kit/vite';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  plugins: [sveltekit()],
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
