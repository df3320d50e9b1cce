// What every journey checks: a page without errors, that keeps its content policy and talks to nothing but the site
// itself.
import { expect, test as base, type Page } from '@playwright/test';
import { Workbench } from './workbench.ts';

/** The message of Playwright in a journey without service worker. */
const WORKER_BLOCKED = 'Service Worker registration blocked by Playwright';

/** A page of ours that hears what is typed, or one without scripts of ours. */
const LISTENS = 'html[data-listens], html:not(:has(script[src$="early.js"]))';

/**
 * Has the page wait, wherever it is sent, until it hears what is typed, so that what it does is answered at once. A
 * journey about the time before says itself how long it waits.
 */
function patient(page: Page): void {
  const [goto, reload] = [page.goto.bind(page), page.reload.bind(page)];
  const listens = () => page.locator(LISTENS).waitFor({ state: 'attached' });
  page.goto = async (url, options) => {
    const response = await goto(url, options);
    if (options?.waitUntil === undefined) await listens();
    return response;
  };
  page.reload = async (options) => {
    const response = await reload(options);
    await listens();
    return response;
  };
}

/** Keeps the scripts of pages on their way. @returns what lets them come. */
export async function holdScripts(page: Page): Promise<() => void> {
  let release = () => {};
  const released = new Promise<void>((done) => (release = done));
  await page.route(/\/_app\/.*\.js$/, async (route) => {
    await released;
    await route.continue();
  });
  return release;
}

interface Ground {
  workbench: Workbench;
  /** Breaches of the content policy so far; a journey that causes one on purpose removes it here. */
  breaches: string[];
}

export const test = base.extend<Ground>({
  breaches: async ({}, use) => {
    await use([]);
  },
  page: async ({ page, baseURL, breaches, javaScriptEnabled }, use) => {
    if (javaScriptEnabled !== false) patient(page);
    const faults: string[] = [];
    const origin = new URL(baseURL!).origin;
    page.on('pageerror', (error) => faults.push(`page error: ${error.message}`));
    page.on('console', (message) => {
      const kind = message.type();
      if (message.text() === WORKER_BLOCKED) return;
      if (kind === 'error' || kind === 'warning') faults.push(`console ${kind}: ${message.text()}`);
    });
    page.on('request', (request) => {
      const url = new URL(request.url());
      const outside = url.protocol.startsWith('http') && url.origin !== origin;
      if (outside) faults.push(`request to ${url.href}`);
    });
    page.on('response', (response) => {
      if (response.status() >= 400) faults.push(`${response.status()} for ${response.url()}`);
    });
    await page.exposeFunction('policyBroken', (breach: string) => breaches.push(breach));
    await page.addInitScript(() => {
      document.addEventListener('securitypolicyviolation', (event) => {
        const { effectiveDirective, blockedURI, sourceFile, lineNumber } = event;
        const breach = `${effectiveDirective} ${blockedURI} at ${sourceFile}:${lineNumber}`;
        (window as unknown as { policyBroken(breach: string): void }).policyBroken(breach);
      });
    });
    await use(page);
    expect(faults).toEqual([]);
    expect(breaches).toEqual([]);
  },
  workbench: async ({ page }, use) => {
    await use(new Workbench(page));
  },
});

/** The same, where a journey goes on after what does not hold. */
export const softly = expect.configure({ soft: true });

export { expect };
