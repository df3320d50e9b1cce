// What comes of a blend beside its figures of the day: hop creep in the package, the shelf, and how a
// steep that cools slowly is told.
import { expect, test } from './support/journey.ts';
import { expectSourced } from './support/sourced.ts';

test('the shelf follows the temperature; a dry-hopped beer is warned of hop creep and its pressure', async ({
  workbench,
}) => {
  await workbench.open();
  await workbench.settledBlend();
  await workbench.ask('Will it keep?');
  const shelf = workbench.page.getByRole('region', { name: 'On the shelf' });
  await expect(shelf.getByRole('heading')).toHaveText('On the shelf at 20 °C');
  await expect(shelf).toContainText(/Best for \d+ (week|month)/);
  const table = shelf.getByRole('table');
  await shelf.getByText('As a table').click();
  const tropical = table.getByRole('row', { name: /^Tropical/ });
  const sixMonths = async () => Number(await tropical.getByRole('cell').nth(3).innerText());
  const warm = await sixMonths();
  await workbench.unfold('Batch');
  const kept = workbench.field('Kept at');
  await kept.fill('2');
  await kept.blur();
  await expect(shelf.getByRole('heading')).toHaveText('On the shelf at 2 °C');
  await expect.poll(sixMonths).toBeGreaterThan(warm);

  // Dry hops alone, which creep, and more carbon dioxide than it is kept with.
  const first = await workbench.settledBlend();
  await workbench.unfold('Stages');
  await workbench.brief.getByRole('button', { name: 'Remove Mash' }).click();
  await workbench.brief.getByRole('button', { name: 'Remove Hot steep' }).click();
  await workbench.blendAfter(first);
  const planned = workbench.field('Carbon dioxide planned');
  await planned.fill('2.6');
  await planned.blur();
  const warnings = workbench.page.getByRole('region', { name: 'Worth a second look' });
  await expect(warnings).toContainText('volumes instead of 2.6');
  await expect(warnings).toContainText(/bar gauge pressure instead of 2\b/);
  await expect(warnings).toContainText('cold beer proves nothing');
  await expectSourced(workbench.page);
});

test('a steep that cools with the hops in it says so on brew day', async ({ workbench }) => {
  await workbench.open();
  await workbench.designs.selectOption('Lime, orange blossom and rose');
  await workbench.settledBlend();
  await workbench.unfold('Stages');
  await workbench.brief.getByRole('checkbox', { name: 'Cools slowly, hops still in it' }).check();
  const time = workbench.field('Cooling time');
  await time.fill('45');
  await time.blur();
  await workbench.settledBlend();
  const day = workbench.page.getByRole('region', { name: 'Brew day' });
  await expect(day).toContainText('then to 20 °C in 45 min');
  await workbench.field('Cools to').fill('95');
  await workbench.field('Cools to').blur();
  await expect(workbench.brief.getByRole('alert')).toContainText('below the steep temperature');
});
