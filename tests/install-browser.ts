// Gets a Chromium for the journeys on a bare machine: through the system's own package manager and
// only where that needs no password. Everywhere else the person is told how, and nothing is done.
import { spawnSync } from 'node:child_process';
import { BROWSER_VARIABLE } from './e2e/support/browser.ts';

const PATIENCE_MS = 240_000;

export const HOW_TO_GET_A_BROWSER = `Install Chromium or Chrome with your system's package manager, or run "npx playwright install chromium", or set ${BROWSER_VARIABLE} to the path of one.`;

function apt(...args: string[]): boolean {
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  const { status } = spawnSync('apt-get', ['-qq', ...args], {
    stdio: ['ignore', 'inherit', 'inherit'],
    env,
    timeout: PATIENCE_MS,
  });
  return status === 0;
}

/** Whether apt-get is there and may be used without asking. */
export function canInstallBrowser(): boolean {
  return process.getuid?.() === 0 && spawnSync('apt-get', ['--version']).status === 0;
}

/** @returns whether the package manager says it worked; the browser must still be looked for. */
export function installBrowser(): boolean {
  const gets = (name: string) => apt('install', '--yes', '--no-install-recommends', name);
  return apt('update') && (gets('chromium-headless-shell') || gets('chromium'));
}
