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

  // What a figure needs stands in one line, once the form has come.
  const fields = page.getByRole('form', { name: 'Add a row' }).locator('.labelled:visible');
  await expect(fields).toHaveCount(8);
  const tops = await fields.evaluateAll((all) => all.map((of) => of.getBoundingClientRect().top));
  expect(new Set(tops.slice(1)).size).toBe(1);

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
  const saved = async () => {
    const saving = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save all your tables' }).click();
    return readFileSync(await (await saving).path(), 'utf8');
  };
  const all = await saved();
  expect(JSON.parse(all).tables.measurements).toHaveLength(7);

  // Taken out and back in from that file, they are what they were.
  await page.getByRole('button', { name: 'Take all out' }).click();
  await expect(page.getByText('Nothing of your own yet')).toBeVisible();
  await file.setInputFiles({
    ...{ name: 'own-tables.json', mimeType: 'application/json', buffer: Buffer.from(all) },
  });
  await expect(page.getByText('own-tables.json is taken in.')).toBeVisible();
  await expect.poll(() => saved()).toBe(all);

  // Among the hops, and where a published figure gave way.
  const places = page.getByRole('navigation', { name: 'Places' });
  await places.getByRole('link', { name: 'Hops' }).click();
  await expect(page.getByText(/^122 of 122 varieties/)).toBeVisible();
  await page.getByLabel('Name or origin').fill('seedling');
  await page.getByRole('link', { name: 'Demo Seedling' }).click();
  await expect(page.getByRole('heading', { name: 'Demo Seedling', level: 2 })).toBeVisible();
  await expect(page.getByRole('main').getByText(/A hop of your tables/)).toBeVisible();
  await page.getByText('As a table').last().click();
  const linalool = page.locator('[id="cell/demo-seedling/linalool_pct_of_oil"]');
  await expect(linalool).toContainText('0.9');
  await expect(linalool).toContainText('yours');
  await expectNoFault(page);

  // A figure of it, asked where it is from: its row leads back to its page, its source to its row.
  await linalool.getByText('0.9').click();
  const dialog = page.getByRole('dialog');
  const ground = dialog.getByRole('link', { name: /linalool/i }).first();
  await expect(ground).toHaveAttribute('href', /own\/hop\/#cell\/demo-seedling\/linalool/);
  await dialog.getByRole('link', { name: 'DEMO-LAB' }).click();
  const source = page.locator('[id="source/DEMO-LAB"]');
  await expect(source).toBeInViewport();
  await expect(source.getByText('yours', { exact: true }).first()).toBeVisible();
  await page.getByLabel('Status of the figure').selectOption('yours');
  const parameter = page.locator('[id="parameter/dry_hop.yield.linalool"]');
  await expect(parameter).toContainText('in place of the published');
  await expectNoFault(page);
  await page.goBack();
  await expect(page.getByRole('heading', { name: 'Demo Seedling', level: 2 })).toBeVisible();

  // Of a published hop the own figure is the one that stands there.
  await places.getByRole('link', { name: 'Hops' }).click();
  await page.getByLabel('Name or origin').fill('cascade');
  await page.getByRole('link', { name: 'Cascade' }).click();
  await expect(page.getByText(/In place of the published figures/)).toContainText('linalool');
  await expect(page.locator('[id="cell/cascade/linalool_pct_of_oil"]')).toContainText('0.55');

  // In the stock: a lot of it by its name.
  await places.getByRole('link', { name: 'Stock' }).click();
  await page.getByLabel('Add a hop').fill('demo seedling');
  await page.getByRole('button', { name: 'Add lot' }).click();
  await expect(page.getByLabel('Demo Seedling: Price')).toBeVisible();
  await workbench.undo.click();

  // In the design: asked anew, and offered by name.
  await places.getByRole('link', { name: 'Design' }).click();
  await expect(workbench.proof).toBeVisible();
  await workbench.unfold('Ban, require');
  await expect(page.locator('datalist option[value="Demo Seedling"]').first()).toBeAttached();

  // A reload keeps it; step by step it is gone.
  await places.getByRole('link', { name: 'Evidence' }).click();
  await page.getByRole('link', { name: 'your tables' }).click();
  await expect(page.getByRole('region', { name: 'Process parameters' }).first()).toBeVisible();
  for (let steps = 0; steps < 7; steps += 1) await workbench.undo.click();
  await expect(page.getByText('Nothing of your own yet')).toBeVisible();
});
