// A hop of the blend is out of stock: replacements side by side, one taken, and the way back.
import { expect, test } from './support/journey.ts';
import { expectNoFault } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

test('a hop is replaced by one of several others and brought back', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.designs.selectOption('What six remainders can do');
  await expect(workbench.headline).toHaveText(/^Cheapest blend/);
  const before = await workbench.settledBlend();
  expect(before).toContain('Cascade');
  await page.getByRole('button', { name: 'Out of stock: Cascade' }).first().click();

  const panel = page.getByRole('region', { name: 'In place of Cascade' });
  await expect(panel.getByRole('heading', { name: 'In place of Cascade' })).toBeFocused();
  const choices = panel.getByRole('article');
  await expect.poll(() => choices.count(), { timeout: 30_000 }).toBeGreaterThan(1);
  for (const text of await choices.allInnerTexts()) {
    expect(text).not.toContain('Cascade');
    expect(text).toMatch(/Hops.*Cost.*IBU/s);
  }
  await expectNoFault(page);
  await expectSourced(page);

  await choices
    .first()
    .getByRole('button', { name: /^Take / })
    .press('Enter');
  await expect(workbench.headline).toHaveText(/^Your blend: /);
  await expect(workbench.undo).toHaveAttribute('title', /Cascade replaced by /);
  await expect(choices.first().getByRole('button', { pressed: true })).toHaveText('Taken');
  const taken = await workbench.settledBlend();
  expect(taken).not.toContain('Cascade');

  await page.getByRole('button', { name: 'Back to the proven blend' }).click();
  expect(await workbench.settledBlend()).toBe(before);
  await panel.getByRole('button', { name: 'Close replacements' }).click();
  await expect(panel).toHaveCount(0);
});
