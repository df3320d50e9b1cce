// One freezer on two devices, over a server on loopback: a lot edited on one appears on the other, what both
// changed while the server was away is put together when it is back, and each takes back their own steps only.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Page } from '@playwright/test';
import { freezerFragment } from '#shared/freezer-terms.ts';
import { FreezerFile } from '../../../src/serve/freezer-file.ts';
import { FreezerServer } from '../../../src/serve/freezer-server.ts';
import { serveSite, type Site } from '../../../src/serve/server.ts';
import { faultsOfBoxes } from '../support/boxes.ts';
import { expect, test } from '../support/journey.ts';
import { expectNoFault } from '../support/looks.ts';

let folder: string;
let file: FreezerFile;
let site: Site;
let freezer: FreezerServer;

test.beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'freezer-'));
  const [opened, served] = [FreezerFile.open(folder), await serveSite(0)];
  if (!opened.ok || !served.ok) throw new Error('the freezer cannot be served');
  [file, site] = [opened.value, served.value];
  freezer = new FreezerServer(site.http, file);
});
test.afterAll(async () => {
  await freezer.close();
  await site.close();
  rmSync(folder, { recursive: true });
});

async function joinAs(page: Page, name: string): Promise<void> {
  await page.goto(`${site.url}stock/${freezerFragment(file.key)}`);
  const dialog = page.getByRole('dialog', { name: 'Share this freezer' });
  await dialog.getByLabel('Name of this device').fill(name);
  await dialog.getByRole('button', { name: 'Join' }).click();
  await expect(dialog.getByText('All devices have the same.')).toBeVisible();
  await expect(page).toHaveURL(`${site.url}stock/`);
}

async function set(page: Page, label: string, value: string): Promise<void> {
  await page.getByLabel(label).fill(value);
  await page.getByLabel(label).press('Tab');
}

test('two devices share one freezer', async ({ browser }) => {
  const faults: string[] = [];
  const pages = await Promise.all(
    [1280, 390].map(async (width) => {
      const context = await browser.newContext({ viewport: { width, height: 900 } });
      const page = await context.newPage();
      page.on('pageerror', (error) => faults.push(error.message));
      return page;
    }),
  );
  const [desk, phone] = pages as [Page, Page];

  // The example is nobody's own: the first change brings it. Told by plain HTTP how the phone gets it offline.
  const dialog = desk.getByRole('dialog');
  await joinAs(desk, 'Office');
  await expect(dialog.getByText('Nothing is in the shared freezer yet.')).toBeVisible();
  await expect(dialog.getByText('plain HTTP')).toHaveCount(0);
  await desk.keyboard.press('Escape');
  await set(desk, 'Amarillo 2025: On hand', '500');
  await desk.getByRole('button', { name: 'Share this freezer' }).click();
  await expect(dialog.getByText('by Office').first()).toBeVisible();
  await expect(dialog.getByText('Nothing is in the shared freezer yet.')).toHaveCount(0);
  await phone.addInitScript(() =>
    Object.defineProperty(window, 'isSecureContext', { value: false }),
  );
  await joinAs(phone, 'Kettle phone');
  const how = phone.getByRole('link', { name: 'How a small brewery gets a certificate' });
  await expect(how).toHaveAttribute('href', /guide\/#devices$/);
  await expect(dialog.getByText('Also here now: Kettle phone.')).toBeVisible();
  await expect(dialog.getByRole('img', { name: 'Code of the link' })).toBeVisible();
  for (const page of pages) await expectNoFault(page);
  for (const width of [320, 390, 768]) {
    await phone.setViewportSize({ width, height: 900 });
    await expect.poll(() => faultsOfBoxes(phone, 'dialog'), `${width} px`).toEqual([]);
  }
  await phone.setViewportSize({ width: 390, height: 900 });
  for (const page of pages) await page.keyboard.press('Escape');

  await phone
    .getByRole('rowheader', { name: /Amarillo/ })
    .getByRole('button')
    .click();
  await expect(phone.getByLabel('Amarillo 2025: On hand')).toHaveValue('500');
  await set(phone, 'Amarillo 2025: Price', '31');
  await expect(desk.getByLabel('Amarillo 2025: Price')).toHaveValue('31');

  // The server goes; both go on, and what both took adds up when it is back.
  await freezer.close(true);
  await set(desk, 'Amarillo 2025: On hand', '440');
  await set(phone, 'Amarillo 2025: On hand', '400');
  freezer = new FreezerServer(site.http, file);
  for (const page of pages)
    await expect(page.getByLabel('Amarillo 2025: On hand')).toHaveValue('340');

  // Undo is each person's own.
  await set(phone, 'Amarillo 2025: Price', '29');
  await expect(desk.getByLabel('Amarillo 2025: Price')).toHaveValue('29');
  await desk.getByRole('button', { name: 'Undo', exact: true }).click();
  await expect(phone.getByLabel('Amarillo 2025: On hand')).toHaveValue('400');
  await expect(desk.getByLabel('Amarillo 2025: Price')).toHaveValue('29');

  await set(phone, 'Amarillo 2025: Price', '28');
  await expect(desk.getByLabel('Amarillo 2025: Price')).toHaveValue('28');

  // Who changed what is told; leaving leaves the rest as it is.
  await desk.getByRole('button', { name: 'Share this freezer' }).click();
  await expect(dialog.getByRole('region', { name: 'Changed last' })).toContainText(
    'Amarillo (lot), by Kettle phone',
  );
  await dialog.getByRole('button', { name: 'Stop sharing here' }).click();
  await expect(dialog.getByText('Sharing is off on this device.')).toBeVisible();
  expect(faults).toEqual([]);
  for (const page of pages) await page.context().close();
});
