// The reasons of a blend: they come by themselves, follow the brief, and a clash can be eased.
import { expect, test } from './support/journey.ts';
import { expectSourced } from './support/sourced.ts';

test('the reasons come after the blend, account for a hop not in it, and follow it', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.ask('Why these?');
  const why = page.getByRole('region', { name: 'Why this blend' });
  await expect(why).toContainText('What each wish costs');
  await expect(why.getByRole('definition').first()).toHaveText(/(costs .* more|saves )/);
  await expect(why.getByRole('img').first()).toHaveAttribute('aria-label', /%/);
  const first = await why.getByRole('img').first().getAttribute('aria-label');

  const field = why.getByLabel('Why not this hop?');
  await field.fill('No such hop');
  await field.press('Enter');
  await expect(why.getByRole('alert')).toContainText('No hop is called');
  await field.fill('Mosaic');
  await field.press('Enter');
  await expect(why.getByText(/^Mosaic would need .* more hops in all\.$/)).toBeVisible();
  await expect(why.getByText(/^The best blend with it: .*Mosaic/)).toBeVisible();
  await expectSourced(page);

  await workbench.drag('Citrus', 25);
  await workbench.blendAfter(before);
  await expect(why.getByRole('img').first()).not.toHaveAttribute('aria-label', first!);
});

test('a clash is named, eased by one button and brought back by one step', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await workbench.designs.selectOption('All flowers, no citrus');
  await expect(workbench.headline).toHaveText(/^Closest blend/);
  const why = page.getByRole('region', { name: 'Why this blend' });
  await expect(why).toContainText('These cannot be met together');
  await expectSourced(page);
  await why.getByRole('button', { name: /^Relax citrus/ }).click();
  await expect(workbench.headline).toHaveText(/^Lightest blend/);
  await expect(why).toContainText('What each wish costs');
  await workbench.undo.click();
  await expect(workbench.headline).toHaveText(/^Closest blend/);
});
