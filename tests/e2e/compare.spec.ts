// Designs side by side: chosen, marked where they differ noticeably, in figures too; and what stands
// there when there is nothing to compare.
import { expect, holdScripts, test } from './support/journey.ts';
import { expectSoundInEveryLook } from './support/looks.ts';

const HOUSE_ALE = {
  name: 'House ale',
  batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 180 },
  stages: { dry_hop: { temp_c: 14, hours: 72 } },
  additions: [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams: 100 }],
};
const jsonOf = (document: object) => Buffer.from(JSON.stringify(document));

const FIRST = 'Guava and grapefruit, little pine';

test('designs are compared, and a copy differs in nothing', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.settledBlend();
  await page
    .getByRole('group', { name: 'This design' })
    .getByRole('button', { name: 'Duplicate' })
    .click();
  await workbench.settledBlend();
  await page.getByRole('link', { name: 'Compare' }).click();
  await expect(page.getByRole('heading', { name: 'Compare' })).toBeVisible();
  const drawn = page.getByRole('img', { name: /citrus/ });
  await expect(drawn).toHaveCount(2);
  const bench = page.getByRole('group', { name: 'Designs to compare' });
  await bench.getByRole('checkbox', { checked: true }).last().uncheck();
  await bench.getByRole('checkbox', { checked: true }).uncheck();
  await expect(page.getByText('Choose two designs above.')).toBeVisible();

  await bench.getByRole('checkbox', { name: FIRST, exact: true }).check();
  await bench.getByRole('checkbox', { name: `${FIRST} 2` }).check();
  await expect(drawn.last()).toHaveAccessibleName(/No note differs noticeably/);
  await bench.getByRole('checkbox', { name: 'Pine and grapefruit, bitter' }).check();
  await expect(drawn.last()).toHaveAccessibleName(
    /Noticeably different from the first: .*resin more/,
  );
  const notes = page.getByRole('region', { name: 'Notes side by side' });
  await expect(
    notes
      .getByRole('row', { name: /^Resin/ })
      .getByRole('cell')
      .last(),
  ).toContainText('more');
  const totals = page.getByRole('region', { name: 'Totals side by side' });
  await expect(totals.getByRole('row')).toHaveCount(8);

  await page.getByRole('link', { name: 'Design', exact: true }).click();
  await workbench.settledBlend();
});

test('the usual schedule, its button pressed before the scripts have come, stands beside a design', async ({
  page,
}) => {
  const release = await holdScripts(page);
  await page.goto('./compare/', { waitUntil: 'commit' });
  const dialog = page.getByRole('dialog');
  await page.getByRole('button', { name: 'Import a schedule' }).click();
  await expect(dialog).toHaveCount(0);
  release();
  const field = dialog.getByLabel('Or paste it here');
  await field.fill('{"name": "Half"}');
  await field.press('Tab');
  await expect(dialog.getByRole('alert')).toContainText('additions');
  await field.fill(JSON.stringify(HOUSE_ALE));
  await field.press('Tab');
  await dialog.getByRole('button', { name: 'Keep as my usual' }).click();
  await page.getByRole('checkbox', { name: 'House ale' }).check();
  await expect(page.getByRole('heading', { name: 'House ale' })).toBeVisible();

  // A schedule among the files becomes the usual one only if the person says so.
  const usual = page.getByText(/^Your usual schedule:/);
  const files = page.getByRole('dialog', { name: 'Files' });
  const choose = async (name: string, document: object) => {
    await page.getByRole('button', { name: 'Files' }).click();
    await files
      .getByLabel(/^Open a workspace file/)
      .setInputFiles({ name, mimeType: 'application/json', buffer: jsonOf(document) });
  };
  const saaz = { ...HOUSE_ALE.additions[0], hop: 'Saaz', form: 'cone' };
  const other = { ...HOUSE_ALE, name: 'Winter ale', additions: [saaz] };
  await choose('winter.json', other);
  const schedule = page.getByRole('dialog', { name: 'Import a schedule' });
  await expect(schedule.getByText('1 addition can be taken')).toBeVisible();
  await expect(schedule.getByText('takes the place of “House ale”')).toBeVisible();
  await expect(usual).toContainText('House ale');
  await schedule.getByRole('button', { name: 'Keep as my usual' }).click();
  await expect(usual).toContainText('Winter ale');
  const cost = page.getByRole('region', { name: 'Totals side by side' }).getByRole('row', {
    name: /^Cost/,
  });
  await expect(cost.getByRole('cell').last()).toHaveText('not known: no price for Saaz');
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(usual).toContainText('House ale');

  await choose('all.json', { format: 'blendbine-workspace', version: 1, usual: other });
  await expect(files.getByText('Adding keeps your usual schedule, “House ale”')).toBeVisible();
});

test('every dialog of the bench is sound in every look', async ({ page, workbench }) => {
  await workbench.open();
  // Behind them a page with no blend: what axe has to walk is little.
  await page
    .getByRole('group', { name: 'This design' })
    .getByRole('button', { name: 'New' })
    .click();
  await page.getByRole('button', { name: 'Start without wishes' }).click();
  await expect(workbench.headline).toHaveText('Nothing wished yet.');
  // Nor anything to ask about it.
  for (const name of ['Why this blend', 'Other blends', 'Beside your usual', 'Brew day'])
    await expect(page.getByRole('region', { name })).toHaveCount(0);
  const dialog = page.getByRole('dialog');
  for (const name of ['New', 'Import', 'Rename', 'Share']) {
    await page.getByRole('group', { name: 'This design' }).getByRole('button', { name }).click();
    await expect(dialog).toBeVisible();
    await expectSoundInEveryLook(page, dialog);
    await page.keyboard.press('Escape');
  }
  await page.keyboard.press('?');
  const keys = page.getByRole('dialog', { name: 'Keys and view' });
  await expect(keys).toBeVisible();
  await expectSoundInEveryLook(page, dialog);
  await keys.getByRole('button', { name: 'Files' }).click();
  await expect(page.getByRole('dialog', { name: 'Files' })).toBeVisible();
  await expectSoundInEveryLook(page, dialog);
});
