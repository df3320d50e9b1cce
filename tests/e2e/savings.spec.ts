// Saving on a schedule: on the blend shown, and on a document that is pasted or opened.
import { expect, test } from './journey.ts';
import { expectNoFault } from './looks.ts';

/** An invented schedule, richly hopped. */
const SCHEDULE = {
  name: 'House ale',
  batch: { beer_l: 100, yeast: 'standard', malt_g_per_l: 180 },
  stages: { hot_steep: { temp_c: 80, minutes: 20 }, dry_hop: { temp_c: 14, hours: 72 } },
  additions: [
    { hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 500, price_per_kg: 44 },
    { hop: 'Centennial', form: 'pellet_90', stage: 'hot_steep', grams: 300, price_per_kg: 29 },
  ],
};

test('the lightest in place of the shown blend is found, shown and left again', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const best = await workbench.settledBlend();
  const savings = page.getByRole('region', { name: 'Save on a schedule' });
  await savings.getByRole('button', { name: 'Save on the blend shown' }).click();
  await expect(savings.getByRole('article').first()).toContainText('saves', { timeout: 30_000 });
  await savings.getByRole('button', { name: 'Show the lightest' }).click();
  await expect(workbench.headline).toHaveText(/^Lightest in its place/);
  await page.getByRole('button', { name: 'Back to the designed blend' }).click();
  expect(await workbench.settledBlend()).toBe(best);
});

test('a document is refused in sentences, or saved on in money, grams and beer', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await workbench.designs.selectOption('What six remainders can do');
  await expect(workbench.headline).toHaveText(/^Cheapest blend/);
  const savings = page.getByRole('region', { name: 'Save on a schedule' });
  await savings.getByText('Another schedule').click();
  const field = savings.getByLabel('Or paste it');
  await field.fill('{"name": "Half a schedule"}');
  await savings.getByRole('button', { name: 'Save on this schedule' }).click();
  await expect(savings.getByRole('alert')).toContainText('additions: the field is missing');

  await savings.getByLabel('Open a schedule document (JSON)').setInputFiles({
    name: 'house-ale.json',
    mimeType: 'application/json',
    buffer: Buffer.from(JSON.stringify(SCHEDULE)),
  });
  await expect(savings.getByRole('alert')).toHaveCount(0);
  const cards = savings.getByRole('article');
  await expect.poll(() => cards.count(), { timeout: 40_000 }).toBe(2);
  await expect(cards.first()).toHaveAccessibleName(/^Cheapest: \d/);
  await expect(cards.first()).toContainText(/saves \d+\.\d\d, .* g of hops and .* L of beer/);
  await expect(cards.last()).toHaveAccessibleName(/^Lightest: \d/);
  await expectNoFault(page);
});
