// The evidence: found by words and by status, saved as a file, followed from a figure to its source; by
// pointer and by keyboard, with nothing for axe to find.
import { readFile } from 'node:fs/promises';
import { expect, test } from './support/journey.ts';

test('a parameter is found, saved, and followed to its source', async ({ page }) => {
  await page.goto('/evidence/');
  const parameters = page.getByRole('region', { name: 'Process parameters' });
  const words = page.getByLabel('Words of a row');
  await expect(page.locator('tbody tr:visible')).toHaveCount(0);
  await page.getByRole('heading', { name: 'Process parameters' }).click();
  await expect(parameters.locator('tbody tr')).not.toHaveCount(0);
  const first = await parameters.locator('tbody tr').count();
  await page.getByRole('button', { name: /^Show all \d+ of Process parameters$/ }).click();
  await expect.poll(() => parameters.locator('tbody tr').count()).toBeGreaterThan(100);
  expect(first).toBeLessThan((await parameters.locator('tbody tr').count()) / 4);

  await words.fill('yield linalool dry_hop');
  const row = parameters.locator('[id="parameter/dry_hop.yield.linalool"]');
  await expect(row).toBeVisible();
  await expect.poll(() => parameters.locator('tbody tr').count()).toBeLessThan(10);

  const saving = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save as CSV Process parameters' }).click();
  const file = await saving;
  expect(file.suggestedFilename()).toBe('parameter.csv');
  const [head, ...lines] = (await readFile(await file.path(), 'utf8')).trim().split('\r\n');
  expect(head).toBe('id,label,low,default,high,unit,status,sources,equations,note');
  expect(lines.some((line) => line.startsWith('dry_hop.yield.linalool,'))).toBe(true);
  expect(lines).toHaveLength(await parameters.locator('tbody tr').count());

  // The source is not among the rows found: following the link shows it all the same.
  const source = row.getByRole('link').first();
  const id = (await source.textContent())!;
  const target = page.locator(`[id="source/${id}"]`);
  await words.fill('dry_hop.yield.linalool');
  await expect(target).toHaveCount(0);
  await source.focus();
  await page.keyboard.press('Enter');
  await expect(target).toBeInViewport();
  await expect(page).toHaveURL(new RegExp(`#source/${id}$`));
  await expect(words).toHaveValue('');

  await page.getByLabel('Status of the figure').selectOption('estimated');
  await expect(page.getByRole('region', { name: /^Estimators/ })).toBeVisible();
  await words.fill('nothing like it');
  await expect(page.getByText('No row matches.')).toBeVisible();
  await page.getByRole('button', { name: 'show all' }).click();
  await expect(page.locator('tbody tr:visible')).toHaveCount(0);
});

test('an address with an anchor opens at its row', async ({ page }) => {
  await page.goto('/evidence/#threshold/linalool');
  await expect(page.locator('[id="threshold/linalool"]')).toBeInViewport();
});
