// The next batches against one stock: chosen with their days, planned, still chosen after a reload; a blend of
// the plan goes into its design in one step, and back, and so does the choice.
import { expect, test } from '../support/journey.ts';
import { expectSoundInEveryLook } from '../support/looks.ts';
import { expectSourced } from '../support/sourced.ts';

test('two beers share the stock, and a blend of the plan is taken', async ({ page }) => {
  await page.goto('/season/');
  const brew = page.getByRole('group', { name: 'Brew' });
  const designs = brew.getByRole('checkbox');
  const plan = page.getByRole('region', { name: 'Plan' });
  const go = page.getByRole('button', { name: 'Plan it' });
  await expect(go).toBeDisabled();
  await designs.nth(1).check();
  await designs.nth(2).check();
  await page.reload();
  await expect(designs.nth(2)).toBeChecked();
  await go.press('Enter');
  await expect(plan).toContainText(/Proven|Not proven|Not every/, { timeout: 60_000 });
  await expect(plan.getByRole('button', { name: /Take it into/ })).toHaveCount(2);
  await expect(plan.getByRole('table')).toContainText('Left');
  await expectSourced(page);
  await expectSoundInEveryLook(page);
  await designs.nth(2).uncheck();
  await expect(page.getByText('Plan again')).toBeVisible();
  const take = plan.getByRole('button', { name: /Take it into/ }).first();
  await take.click();
  await expect(plan.getByText('Taken')).toBeVisible();
  const undo = page.getByRole('button', { name: 'Undo' });
  await expect(undo).toHaveAttribute('title', /take the plan/);
  await undo.click();
  // What is planned is kept with everything else, and taken back step by step.
  await expect(undo).toHaveAttribute('title', /out of the season/);
  await undo.click();
  await expect(designs.nth(2)).toBeChecked();
  await expect(page.getByText('Plan again')).toBeHidden();
});
