// The journeys: the built site in Chromium, two of them side by side, no retries. A journey that
// passes only at the second try is a failure to be understood.
import { defineConfig } from '@playwright/test';
import { findBrowser } from './tests/e2e/support/browser.ts';

const executablePath = findBrowser();

export default defineConfig({
  testDir: 'tests/e2e',
  testMatch: '*.spec.ts',
  globalSetup: './tests/e2e/support/site.ts',
  outputDir: 'test-results',
  forbidOnly: process.env['CI'] !== undefined,
  // One by one: where a file went as a whole, the last one often ran alone.
  fullyParallel: true,
  workers: 2,
  retries: 0,
  // Only what hangs: on a busy machine a journey may take several times as long.
  timeout: 240_000,
  expect: { timeout: 45_000 },
  reporter: 'list',
  use: {
    ...(process.env['SITE_URL'] === undefined ? {} : { baseURL: process.env['SITE_URL'] }),
    browserName: 'chromium',
    // It answers before a journey can, and takes the whole program along; journeys about it allow it.
    serviceWorkers: 'block',
    viewport: { width: 1280, height: 900 },
    reducedMotion: 'reduce',
    // Traces cost every journey time; `npm run test:e2e -- --trace on` keeps them where one is wanted.
    screenshot: 'only-on-failure',
    launchOptions: {
      ...(executablePath === undefined ? {} : { executablePath }),
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
        '--no-first-run',
      ],
    },
  },
});
