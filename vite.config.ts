// One Vite set-up for the app; the unit tests run in plain Node, without a DOM.
import { sveltekit } from '@sveltejs/kit/vite';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  plugins: [sveltekit()],
  worker: { format: 'es' },
  test: {
    environment: 'node',
    include: ['tests/**/*.test.ts'],
    testTimeout: 60_000,
    benchmark: { include: ['tests/bench/**/*.bench.ts'] },
  },
});
