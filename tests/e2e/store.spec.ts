// What the browser keeps, in trouble: two tabs at one lot, records that cannot be read, a database that
// another tab holds. Nothing is lost, and each is told with what to do.
import { readFile } from 'node:fs/promises';
import type { Page } from '@playwright/test';
import { expect, test } from './support/journey.ts';
import { kept } from './support/kept.ts';

/** Runs in a page: every record of the store changed by a function of it, given as text. */
async function damage(page: Page, change: string): Promise<void> {
  await page.evaluate(`(async () => {
    const opening = indexedDB.open('blendbine');
    const database = await new Promise((done) => (opening.onsuccess = () => done(opening.result)));
    const transaction = database.transaction('entries', 'readwrite');
    const store = transaction.objectStore('entries');
    const all = await new Promise((done) => (store.getAll().onsuccess = (e) => done(e.target.result)));
    for (const record of all) { const next = (${change})(record); if (next) store.put(next); }
    await new Promise((done) => (transaction.oncomplete = done));
    database.close();
  })()`);
}
const rename = async (page: Page, name: string) => {
  await page
    .getByRole('group', { name: 'This design' })
    .getByRole('button', { name: 'Rename' })
    .click();
  await page.getByRole('textbox', { name: 'Name' }).fill(name);
  await page.getByRole('textbox', { name: 'Name' }).press('Enter');
  await expect(page.getByRole('dialog')).toHaveCount(0);
};
const isSaved = (page: Page) => expect(page.getByText('Saved in this browser')).toBeVisible();

test('records that cannot be read stay, are named and come as a file; the rest is there', async ({
  page,
  workbench,
}, info) => {
  await workbench.open();
  await rename(page, 'Of a newer page');
  await isSaved(page);
  const lots = Object.keys(await kept(page)).filter((key) => key.startsWith('lot:'));
  expect(lots.length).toBeGreaterThan(3);
  await damage(
    page,
    `(r) => r.key.startsWith('design:') ? { ...r, version: 2 } : r.key === 'order' ? { ...r, value: { lots: 5 } } : null`,
  );
  const before = await kept(page);

  await workbench.reload();
  const notice = page.getByRole('alert').filter({ hasText: 'Not all that was kept could be read' });
  await expect(notice).toContainText('saved by a newer version of this page');
  await rename(page, 'Here and now');
  await isSaved(page);
  const after = await kept(page);
  for (const [key, record] of Object.entries(before)) {
    if (key !== 'order') expect(after[key], key).toEqual(record);
  }
  const download = page.waitForEvent('download');
  await notice.getByRole('button', { name: 'Save it as a file' }).click();
  const file = info.outputPath('unread.json');
  await (await download).saveAs(file);
  expect(await readFile(file, 'utf8')).toContain('Of a newer page');
  await notice.getByRole('button', { name: 'Close' }).click();
  await expect(notice).toHaveCount(0);
});

test('a lot changed in two tabs in ways that do not go together is kept twice, and both are reported', async ({
  page,
  workbench,
  context,
}) => {
  await workbench.open();
  await rename(page, 'Own');
  await isSaved(page);
  await damage(
    page,
    `(r) => r.key.startsWith('lot:') ? (() => { const { grams_on_hand: _, package_g: __, ...value } = r.value; return { ...r, value }; })() : null`,
  );
  // This tab keeps from the other what it has saved, so that the two edits meet in the store.
  await page.addInitScript(() => {
    BroadcastChannel.prototype.postMessage = () => {};
  });
  await page.goto('./stock/');
  const other = await context.newPage();
  await other.goto('./stock/');
  const field = (tab: Page, name: string) =>
    tab.getByRole('textbox', { name: `Amarillo 2025: ${name}` }).first();
  for (const tab of [page, other]) await expect(field(tab, 'On hand')).toHaveValue('');
  await field(page, 'On hand').fill('300');
  await field(page, 'On hand').press('Tab');
  await expect.poll(async () => JSON.stringify(await kept(page))).toContain('"grams_on_hand":300');
  await field(other, 'Package').fill('100');
  await field(other, 'Package').press('Tab');
  for (const tab of [page, other]) {
    await expect(tab.getByRole('alert').filter({ hasText: 'changed in two tabs' })).toBeVisible();
  }
  await page.goto('./');
  await isSaved(page);
  await expect(page.getByRole('alert')).toHaveCount(0);
});

test('a database held by another tab is reported with the cure, and taken up when it is free', async ({
  page,
  workbench,
  context,
}) => {
  const empty = '<link rel="icon" href="data:," />';
  await context.route('**/empty', (route) =>
    route.fulfill({ contentType: 'text/html', body: empty }),
  );
  const older = await context.newPage();
  await older.goto('./empty');
  await older.evaluate(async () => {
    const opening = indexedDB.open('blendbine', 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore('briefs');
    await new Promise((done) => (opening.onsuccess = done));
  });
  await workbench.open();
  const notice = page.getByRole('alert').filter({ hasText: 'Not saved' });
  await expect(notice).toContainText('Close the other tabs of this page');
  await rename(page, 'Edited while it was held');
  await expect(notice).toBeVisible();
  await older.close();
  await expect(notice).toHaveCount(0);
  await isSaved(page);
  await workbench.reload();
  await expect(workbench.designs.locator('option:checked')).toContainText(
    'Edited while it was held',
  );
});
