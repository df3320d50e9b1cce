// A batch is tasted by three, what that taught counts in the predictions, is switched off, taken back by undo,
// and is there after a reload.
import { expect, test } from '../support/journey.ts';
import { expectSoundInEveryLook } from '../support/looks.ts';
import { expectSourced } from '../support/sourced.ts';
import { Workbench } from '../support/workbench.ts';

test('three tasters teach, and it can be switched off and taken back', async ({ page }) => {
  test.slow();
  const workbench = new Workbench(page);
  await workbench.open();
  await workbench.settledBlend();
  await page.getByRole('link', { name: 'Brew this' }).click();
  await page.getByRole('button', { name: 'Start this batch' }).click();
  await page
    .getByRole('navigation', { name: 'Views of the brew' })
    .getByRole('link', { name: 'Tasting' })
    .click();
  const tasting = page.getByRole('region', { name: 'Tasting', exact: true });
  const learned = tasting.getByRole('region', { name: 'What your tastings changed' });
  for (const [taster, score] of [
    ['AB', '4'],
    ['CD', '3'],
    ['EF', '4.5'],
  ] as const) {
    await tasting.getByRole('textbox', { name: 'Taster' }).fill(taster);
    for (const note of ['Citrus', 'Tropical', 'Resin']) {
      await tasting.getByRole('textbox', { name: note }).fill(score);
      await tasting.getByRole('textbox', { name: note }).press('Tab');
    }
    await tasting.getByRole('button', { name: 'Keep this tasting' }).click();
    await expect(
      tasting.getByRole('button', { name: `Remove the tasting by ${taster}` }),
    ).toBeVisible();
  }
  // A table of two more glasses, a lab figure with its own precision.
  await tasting.getByLabel(/^Take in a tasting table/).setInputFiles({
    name: 'tasting.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from('taster,citrus,resin\nGH,3.5,2\nIJ,4,\n'),
  });
  await expect(tasting.getByRole('button', { name: 'Remove the tasting by IJ' })).toBeVisible();
  const lab = tasting.getByRole('region', { name: 'Laboratory' });
  await lab.getByRole('textbox', { name: 'Found' }).fill('40');
  await lab.getByRole('textbox', { name: 'Standard deviation' }).fill('4');
  await lab.getByRole('textbox', { name: 'Standard deviation' }).press('Tab');
  await lab.getByRole('button', { name: 'Keep this figure' }).click();
  await expect(lab.getByRole('listitem')).toContainText('40 ± 4');
  await tasting.getByRole('button', { name: 'Learn from all batches' }).click();
  await expect(learned.getByRole('status')).toContainText('Learning 1');
  await expect(tasting).toContainText('points as published');
  await expect(tasting.getByRole('columnheader', { name: 'As learned' })).toBeVisible();
  // One press to the next batch: what moved, a design of its own, and one step back.
  await tasting.getByRole('button', { name: 'Design the next batch' }).click();
  const next = tasting.getByRole('region', { name: 'Next batch' }).getByRole('status');
  await expect(next).toContainText(/Open it|meets every wish/);
  await expect(tasting.getByRole('region', { name: 'The line of this beer' })).toContainText(
    '5 tasters',
  );
  await expectSourced(page);
  await expectSoundInEveryLook(page);
  await page.setViewportSize({ width: 1280, height: 900 });
  await page.reload();
  await expect(learned.getByRole('status')).toContainText(/from 1\s+batch/);
  await tasting.getByRole('checkbox', { name: 'Use what was learned' }).uncheck();
  await expect(learned.getByRole('status')).toContainText('switched off');
  await expect(tasting.getByRole('columnheader', { name: 'As learned' })).toHaveCount(0);
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    learned.getByRole('button', { name: 'Save it as a file' }).click(),
  ]);
  await tasting.getByRole('button', { name: 'Take it back' }).click();
  await expect(learned.getByRole('status')).toContainText('Nothing was learned yet');
  // The learning alone goes from one device to another.
  const reading = learned.getByLabel('Read it from a file');
  await reading.setInputFiles({
    name: 'odd.json',
    mimeType: 'application/json',
    buffer: Buffer.from('{}'),
  });
  await expect(learned.getByRole('alert')).toContainText('Not read: odd.json, version');
  await reading.setInputFiles(await file.path());
  await expect(learned.getByRole('status')).toContainText('predictions, ranges and searches count');
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(learned.getByRole('status')).toContainText('Nothing was learned yet');
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(learned.getByRole('status')).toContainText('switched off');
});
