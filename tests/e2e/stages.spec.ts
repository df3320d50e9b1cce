// The stages of a brief: a second dry hop is added, named, ordered, brewed and removed, every step one
// step back; what cannot be says its cure.
import { expect, test } from './support/journey.ts';
import { expectSoundInEveryLook } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

test('a second dry hop is added, renamed, reordered, used, removed and taken back', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const first = await workbench.settledBlend();
  await workbench.unfold('Stages');
  const { brief } = workbench;
  const names = () => brief.getByRole('button', { name: /^Remove / }).allInnerTexts();
  const legends = () =>
    brief
      .getByRole('button', { name: /^Rename / })
      .evaluateAll((buttons) =>
        buttons.map((button) => button.getAttribute('aria-label')!.replace('Rename ', '')),
      );
  await expect.poll(legends).toEqual(['Mash', 'Hot steep', 'Dry hop']);

  // By keyboard alone.
  const kind = brief.getByRole('combobox', { name: 'One more stage' });
  await kind.selectOption('Dry hop');
  await brief.getByRole('button', { name: 'Add stage' }).press('Enter');
  await expect.poll(legends).toEqual(['Mash', 'Hot steep', 'Dry hop', 'Dry hop 2']);
  await brief.getByRole('button', { name: 'Rename Dry hop 2' }).press('Enter');
  const name = brief.getByRole('textbox', { name: 'Name of the stage' });
  await name.fill('Dry hop');
  await name.press('Enter');
  await expect(brief.getByRole('alert')).toHaveText(/called Dry hop already.*another name/i);
  await name.fill('Second');
  await name.press('Enter');
  await expect.poll(legends).toEqual(['Mash', 'Hot steep', 'Dry hop', 'Second']);
  await brief.getByRole('button', { name: 'Second earlier' }).press('Enter');
  await expect.poll(legends).toEqual(['Mash', 'Hot steep', 'Second', 'Dry hop']);
  const day = brief.getByRole('textbox', { name: 'Day after pitching' }).first();
  await day.fill('4');
  await day.press('Enter');

  // Without the first dry hop the second takes its hops.
  await brief.getByRole('button', { name: 'Remove Dry hop', exact: true }).click();
  await expect.poll(legends).toEqual(['Mash', 'Hot steep', 'Second']);
  const second = await workbench.blendAfter(first);
  expect(second).toContain('Second');
  await expect(page.getByRole('region', { name: 'Brew day' })).toContainText('from day 4, 16 °C');
  await expectSourced(page);
  await expectSoundInEveryLook(page);

  // Hops put there by hand keep the stage.
  await page.setViewportSize({ width: 1280, height: 900 });
  await workbench.answer.getByRole('button', { name: 'Edit by hand' }).click();
  const grams = workbench.answer.getByRole('textbox', { name: /^Grams of .*, Second$/ });
  await grams.first().fill('25');
  await grams.first().press('Enter');
  await brief.getByRole('button', { name: 'Remove Second' }).click();
  await expect(brief.getByRole('alert')).toHaveText(/Edit by hand first/);

  // Back to the beginning, a step at a time.
  for (const left of [
    ['Mash', 'Hot steep', 'Second'],
    ['Mash', 'Hot steep', 'Second', 'Dry hop'],
    ['Mash', 'Hot steep', 'Second', 'Dry hop'],
    ['Mash', 'Hot steep', 'Dry hop', 'Second'],
    ['Mash', 'Hot steep', 'Dry hop', 'Dry hop 2'],
    ['Mash', 'Hot steep', 'Dry hop'],
  ]) {
    await workbench.undo.click();
    await expect.poll(legends).toEqual(left);
  }

  // Eight are the most.
  for (let i = 0; i < 5; i += 1) await brief.getByRole('button', { name: 'Add stage' }).click();
  await expect.poll(async () => (await names()).length).toBe(8);
  await brief.getByRole('button', { name: 'Add stage' }).click();
  await expect(brief.getByRole('alert')).toHaveText(/there are 8 stages.*Remove one first/i);
});
