// Changing the wish and getting another blend: by pointer, by keyboard, and back again.
import { SEED_BRIEFS } from '#seeds/index.ts';
import { savedDesign } from '#state/documents/documents.ts';
import { shareFragment } from '#storage/share-link.ts';
import { expect, test } from './support/journey.ts';
import { expectSoundInEveryLook } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

const AXIS = 'Tropical';

test('a dragged corner of the profile gives a new blend, and is one step back', async ({
  workbench,
}) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  const wished = await workbench.wished(AXIS);
  await workbench.drag(AXIS, -20);
  await expect.poll(() => workbench.wished(AXIS)).toBeLessThan(wished);
  const changed = await workbench.wished(AXIS);
  const after = await workbench.blendAfter(before);

  await workbench.undo.click();
  await expect.poll(() => workbench.wished(AXIS)).toBe(wished);
  await expect(workbench.undo).toBeDisabled();
  expect(await workbench.blendAfter(after)).toBe(before);

  await workbench.redo.click();
  await expect.poll(() => workbench.wished(AXIS)).toBe(changed);
  expect(await workbench.blendAfter(before)).toBe(after);
});

test('the keyboard alone does all of it', async ({ page, workbench }) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  const wished = await workbench.wished(AXIS);
  const handle = workbench.handle(AXIS);
  await expect(async () => {
    await page.keyboard.press('Tab');
    await expect(handle).toBeFocused({ timeout: 1 });
  }).toPass({ intervals: [0] });

  await page.keyboard.press('PageDown');
  await page.keyboard.press('ArrowDown');
  await expect.poll(() => workbench.wished(AXIS)).toBeCloseTo(wished - 0.6, 9);
  await expect(handle).toHaveAttribute('aria-valuetext', /^aim at/);
  const after = await workbench.blendAfter(before);

  await page.keyboard.press('Control+z');
  await expect.poll(() => workbench.wished(AXIS)).toBe(wished);
  expect(await workbench.blendAfter(after)).toBe(before);
});

test('the number field beside the drawing does the same', async ({ workbench }) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  await workbench.field(`Selected: ${AXIS} value`).fill('3');
  await workbench.field(`Selected: ${AXIS} value`).press('Enter');
  await expect.poll(() => workbench.wished(AXIS)).toBe(3);
  const dosed = await workbench.blendAfter(before);
  expect(dosed).toContain('Dry hop');

  // No more of a stage than one has room for, and none of it where that is nothing.
  await workbench.unfold('Stages');
  await workbench.field('Dry hop dose at most').fill('0');
  await workbench.field('Dry hop dose at most').press('Enter');
  const without = await workbench.blendAfter(dosed);
  expect(without).not.toContain('Dry hop');
  await workbench.undo.click();
  expect(await workbench.blendAfter(without)).toBe(dosed);

  // Money over the whole table, which has no prices: the stock's lots have some.
  await workbench.unfold('Limits');
  await workbench.brief.getByRole('combobox', { name: 'Minimise' }).selectOption('cost');
  await expect(workbench.answer.getByRole('alert')).toContainText('no price per kg');
  await workbench.answer.getByRole('button', { name: /from your stock/ }).click();
  await expect(workbench.headline).toHaveText(/^Cheapest blend: \d+\.\d\d/);
  await expect(workbench.answer.getByRole('alert')).toHaveCount(0);
});

test('a hop left out is not in the next blend', async ({ page, workbench }) => {
  await workbench.open();
  const before = await workbench.settledBlend();
  const leaveOut = page.getByRole('button', { name: /^Leave out / }).first();
  const hop = (await leaveOut.getAttribute('aria-label'))!.replace('Leave out ', '');
  expect(before).toContain(hop);
  await leaveOut.click();
  await workbench.stopOrSettle();
  await expect.poll(() => workbench.settledBlend()).not.toContain(hop);
});

test('a long search can be stopped and gives the best blend found', async ({ page, workbench }) => {
  // To hold in most lots over all varieties: seconds to prove, far more than a stop may take.
  const { brief } = SEED_BRIEFS.find(({ id }) => id === 'tropical')!;
  const limits = { ...brief.limits, holds_in_lots_at_least: 0.8 };
  const link = await shareFragment(savedDesign({ ...brief, name: 'In most lots', limits }));
  if (!link.ok) throw new Error('the design does not fit into a link');
  await page.goto(`./${link.value}`);
  await expect(workbench.search).toContainText('best so far');
  await workbench.stop.click();
  await expect(workbench.search).toHaveText(/^Searched for [\d.]+ (ms|s)\.$/);
  await expect(workbench.stop).toBeHidden();
  await expect(workbench.headline).toHaveText(/^(Lightest found|Holds in most lots)/);
  await expect(workbench.answer.getByText(/^Proven: no blend/)).toHaveCount(0);
  await expect(workbench.blend.first()).toContainText(/\d\s(g|kg)/);
});

// The stages of a brief: every step one step back; what cannot be says its cure.
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
