// How sure a blend is: whose thresholds hold is one switch with a step back, and what would make the
// blend surer is told when asked, by keyboard as well.
import { expect, test } from './support/journey.ts';

test('what would make it surer is reported; thresholds change school and come back by one step', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.ask('How sure?');
  const doubt = page.getByRole('region', { name: 'Doubt', exact: true });
  await doubt.locator('summary').first().focus();
  await page.keyboard.press('Enter');
  await expect(doubt.getByRole('heading', { name: 'What a lab could measure' })).toBeVisible();
  await expect(doubt.getByRole('listitem').first()).toHaveText(/\d\.\d\d to \d\.\d\d/);
  const said = await doubt.locator('p').first().textContent();
  expect(said).toContain('in 8 of 10 cases');
  await doubt.getByLabel('Aroma').selectOption({ index: 1 });
  await expect(doubt.locator('p').first()).not.toHaveText(said!);
  await doubt.getByText('As a table').click();
  await expect(doubt.getByRole('columnheader', { name: 'Share of the uncertainty' })).toBeVisible();
  await expect(page.getByText('counts by what it adds to the aroma')).toBeVisible();

  await page.locator('summary', { hasText: 'Thresholds' }).click();
  await page.getByLabel('Japanese type (dilute ethanol)').check();
  await expect(page.getByText(/^This school has no figure for .*myrcene/)).toBeVisible();
  await workbench.blendAfter(before);
  await workbench.undo.click();
  await expect(page.getByLabel('Middle of all')).toBeChecked();
});
