// The ground every journey stands on: a page that must stay without errors and must not talk to
// anything but the site itself.
import { expect, test as base } from '@playwright/test';
import { Workbench } from './workbench.ts';

export const test = base.extend<{ workbench: Workbench }>({
  page: async ({ page, baseURL }, use) => {
    const faults: string[] = [];
    const origin = new URL(baseURL!).origin;
    page.on('pageerror', (error) => faults.push(`page error: ${error.message}`));
    page.on('console', (message) => {
      const kind = message.type();
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
    await use(page);
    expect(faults).toEqual([]);
  },
  workbench: async ({ page }, use) => {
    await use(new Workbench(page));
  },
});

export { expect };
