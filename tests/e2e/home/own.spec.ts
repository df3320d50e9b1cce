// Tables of one's own: a source, a hop with its figures and a price by hand, a row refused with column and cure,
// a file in and out; the hop is offered in the design and listed among the hops, marked as theirs; all of it
// undone step by step.
import { readFileSync } from 'node:fs';
import type { Page } from '@playwright/test';
import { expect, test } from '../support/journey.ts';
import { expectNoFault } from '../support/looks.ts';

const seed = (name: string) => ({
  name,
  mimeType: 'text/csv',
  buffer: readFileSync(new URL(`../../../seeds/own/${name}`, import.meta.url)),
});

/** Fills the form of a row; what is closed is chosen. */
async function addRow(page: Page, table: string, cells: Readonly<Record<string, string>>) {
  const form = page.getByRole('form', { name: 'Add a row' });
  await form.getByRole('combobox', { name: 'Add to' }).selectOption({ label: table });
  for (const [column, cell] of Object.entries(cells)) {
    const named = { name: column, exact: true };
    const field = form.getByRole('combobox', named).or(form.getByRole('textbox', named));
    const isList = await field.evaluate((element) => element instanceof HTMLSelectElement);
    await (isList ? field.selectOption({ label: cell }) : field.fill(cell));
  }
  await form.getByRole('button', { name: 'Add row' }).click();
}

test('a hop of one’s own by hand and from files, used, exported, undone', async ({
  page,
  workbench,
}) => {
  await page.goto('/own/');
  await expect(page.getByText('Nothing of your own yet')).toBeVisible();
  await expectNoFault(page);

  // By hand: refused with column and cure, then taken.
  const price = { Hop: 'Citra', Form: 'type 90 pellet', 'Price per kg': '3x' };
  await addRow(page, 'Prices', price);
  const alert = page.getByRole('form', { name: 'Add a row' }).getByRole('alert');
  await expect(alert).toHaveText(/^Price per kg: "3x" is not allowed\. .*decimal number/);
  await addRow(page, 'Prices', { ...price, 'Price per kg': '36' });
  const prices = page.getByRole('region', { name: 'Prices' }).first();
  await expect(prices.getByRole('row')).toHaveCount(2);
  const title = page.getByRole('heading', { name: /^Prices/ });
  await expect(title.getByText('yours', { exact: true })).toBeVisible();

  // From files; one that does not fit says why, and changes nothing.
  const file = page.getByLabel(/take in a table/);
  await file.setInputFiles(seed('measurements.csv'));
  await expect(page.getByRole('alert')).toContainText(
    /measurements, row 1, column variety: no variety is called Demo Seedling\. .*varieties/,
  );
  for (const name of ['sources.csv', 'varieties.csv', 'measurements.csv', 'parameters.csv']) {
    await file.setInputFiles(seed(name));
    await expect(page.getByText(`${name} is taken in.`)).toBeVisible();
  }
  await expectNoFault(page);
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save all your tables' }).click(),
  ]);
  const saved = JSON.parse(readFileSync(await download.path(), 'utf8'));
  expect(saved.tables.measurements).toHaveLength(7);

  // Among the hops, and where a published figure gave way.
  const places = page.getByRole('navigation', { name: 'Places' });
  await places.getByRole('link', { name: 'Hops' }).click();
  await expect(page.getByText(/^122 of 122 varieties/)).toBeVisible();
  await page.getByLabel('Name or origin').fill('seedling');
  await expect(page.getByRole('link', { name: 'Demo Seedling' })).toHaveAttribute('href', /own/);
  await page.getByLabel('Name or origin').fill('cascade');
  await page.getByRole('link', { name: 'Cascade' }).click();
  await expect(page.getByText(/In place of the figures below/)).toContainText('linalool');

  // In the design: asked anew, and offered by name.
  await places.getByRole('link', { name: 'Design' }).click();
  await expect(workbench.proof).toBeVisible();
  await expect(page.locator('datalist option[value="Demo Seedling"]').first()).toBeAttached();

  // A reload keeps it; step by step it is gone.
  await places.getByRole('link', { name: 'Evidence' }).click();
  await page.getByRole('link', { name: 'your tables' }).click();
  await expect(page.getByRole('region', { name: 'Process parameters' }).first()).toBeVisible();
  for (let steps = 0; steps < 5; steps += 1) await workbench.undo.click();
  await expect(page.getByText('Nothing of your own yet')).toBeVisible();
});
