// A blend taken into one's own hands, by keyboard alone: weighed, locked, moved, planned anew around the
// lock, kept over a reload, and taken back step by step.
import type { Locator, Page } from '@playwright/test';
import { expect, test } from './support/journey.ts';
import { expectNoFault } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

const grams = async (field: Locator) => Number((await field.inputValue()).replaceAll(',', ''));

const labelOf = (field: Locator) =>
  field.evaluate((input: HTMLInputElement) => input.labels?.[0]?.textContent ?? '');

/** The additions by hand in words, one line each, once they can be edited. */
async function rowsOf(page: Page): Promise<string[]> {
  const field = page.getByRole('textbox', { name: /^Grams of / });
  await expect(field.first()).toBeVisible();
  return field.evaluateAll((inputs) =>
    (inputs as HTMLInputElement[]).map(
      ({ labels, value }) => `${labels?.[0]?.textContent}: ${value}`,
    ),
  );
}

test('a blend is edited, locked, planned anew, kept and taken back', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const designed = await workbench.settledBlend();
  const hand = page.getByRole('button', { name: 'Edit by hand' });
  await hand.press('Enter');
  const before = await rowsOf(page);
  expect(before.length).toBeGreaterThan(1);

  // Grams by arrow keys: predicted at once, one step back for one visit of the field.
  const field = page.getByRole('textbox', { name: /^Grams of / }).first();
  const [, hop = '', stage = ''] = /^Grams of (.+), (.+)$/.exec(await labelOf(field))!;
  const start = await grams(field);
  for (let i = 0; i < 3; i += 1) await field.press('ArrowUp');
  await expect(workbench.headline).toHaveText(/^Your blend: /);
  const taken = await grams(field);
  expect(taken).toBeGreaterThan(start);
  await expect(workbench.undo).toHaveAttribute('title', new RegExp(`${hop}`));

  await page.getByRole('button', { name: `Lock ${hop}, ${stage}` }).press('Enter');
  await expect(page.getByRole('button', { name: `Lock ${hop}, ${stage}` })).toHaveAttribute(
    'aria-pressed',
    'true',
  );

  // Another row goes to another stage; the keyboard stays where it was.
  const stages = page.getByRole('combobox', { name: /^Stage of / });
  const other = stages.nth(1);
  const from = await other.inputValue();
  const options = await other
    .locator('option')
    .evaluateAll((all) => all.map((option) => (option as HTMLOptionElement).value));
  const to = options.find((value) => value !== from)!;
  await other.focus();
  await other.selectOption(to);
  await expect(page.locator(':focus')).toHaveValue(to);
  await expect(workbench.undo).toHaveAttribute('title', /move /);
  await expectNoFault(page, page.getByRole('region', { name: 'Blend', exact: true }));
  await expectSourced(page);

  // A hop comes in and goes out again.
  const count = (await rowsOf(page)).length;
  await page.getByLabel('Hop to add').fill('Saaz');
  await page.getByLabel('Hop to add').press('Enter');
  await expect.poll(async () => (await rowsOf(page)).length).toBe(count + 1);
  await page.getByRole('button', { name: /^Remove Saaz, / }).press('Enter');
  await expect.poll(async () => (await rowsOf(page)).length).toBe(count);
  const edited = await rowsOf(page);

  await expect(page.getByLabel('One point of miss is worth at most')).toHaveValue('2');
  await page.getByRole('button', { name: 'Re-plan around my edits' }).press('Enter');
  await expect(workbench.undo).toHaveAttribute('title', /re-plan/);
  await expect(page.getByRole('region', { name: 'What re-planning changed' })).toContainText('→');
  const locked = page
    .getByRole('listitem')
    .filter({ has: page.getByRole('button', { name: `Lock ${hop}, ${stage}`, pressed: true }) })
    .getByRole('textbox', { name: /^Grams of / });
  await expect.poll(() => grams(locked)).toBe(taken);
  const planned = await rowsOf(page);

  // Kept over a reload.
  await expect(page.getByText('Saved in this browser')).toBeVisible();
  await workbench.reload();
  await expect(workbench.headline).toHaveText(/^Your blend: /);
  await hand.press('Enter');
  await expect.poll(() => rowsOf(page)).toEqual(planned);
  await expect.poll(() => grams(locked)).toBe(taken);

  await page.getByRole('button', { name: 'Back to the proven blend' }).press('Enter');
  await hand.press('Enter');
  await expect.poll(() => workbench.settledBlend()).toBe(designed);
  await workbench.undo.press('Enter');
  await expect(workbench.headline).toHaveText(/^Your blend: /);
  expect(edited).not.toEqual(planned);
});

test('every step by hand leads back to the proven blend', async ({ page, workbench }) => {
  await workbench.open();
  const designed = await workbench.settledBlend();
  await page.getByRole('button', { name: 'Edit by hand' }).click();
  const before = await rowsOf(page);
  const field = page.getByRole('textbox', { name: /^Grams of / }).first();
  await field.fill('77');
  await field.press('Enter');
  await expect(workbench.headline).toHaveText(/^Your blend: /);
  await page
    .getByRole('combobox', { name: /^Form of / })
    .first()
    .selectOption('cone');
  await page
    .getByRole('button', { name: /^Remove / })
    .last()
    .click();
  await expect.poll(async () => (await rowsOf(page)).length).toBe(before.length - 1);
  for (const step of [/remove/, /whole cone/, /77\sg/]) {
    await expect(workbench.undo).toHaveAttribute('title', step);
    await workbench.undo.click();
  }
  await expect(workbench.headline).not.toHaveText(/^Your blend/);
  await expect.poll(() => rowsOf(page)).toEqual(before);
  await page.getByRole('button', { name: 'Edit by hand' }).click();
  await expect.poll(() => workbench.settledBlend()).toBe(designed);
});

test('a blend stands beside what is brewed usually', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.settledBlend();
  await workbench.ask('My usual?');
  const panel = page.getByRole('region', { name: 'Beside your usual' });
  await panel.getByRole('button', { name: 'Make this my usual' }).click();
  const hops = panel.getByRole('row', { name: /^Hops/ });
  await expect(hops).toContainText('± 0 g');
  await expect(panel).toContainText('No note changes noticeably');
  await page.getByRole('button', { name: 'Edit by hand' }).click();
  const field = page.getByRole('textbox', { name: /^Grams of / }).first();
  const more = (await grams(field)) + 100;
  await field.fill(String(more));
  await field.press('Enter');
  await expect(hops).toContainText('+100 g');
  await expect(panel.getByRole('listitem').first()).toContainText('→');

  // What nobody would brew is warned of beside the headline, and only that.
  const warning = workbench.answer.getByRole('link', { name: /hold back|larger than any/ });
  await expect(warning).toHaveCount(0);
  await field.fill('1500');
  await field.press('Enter');
  await warning.click();
  const second = page.getByRole('region', { name: 'Worth a second look' });
  await expect(second.getByText(/Lower a wish/).first()).toBeInViewport();
  await expectNoFault(page, second);
  await expectSourced(page);
});

test('the same beer is brewed at 1,000 L, with the blend it has and designed anew', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await workbench.settledBlend();
  await workbench.ask('Other size?');
  const size = page.getByRole('region', { name: 'Another batch size' });
  const grams = size.getByText(/kg of hops/);
  const weight = /[\d.]+\skg/.exec((await grams.textContent())!)![0];
  await size.getByRole('button', { name: 'Same blend at this size' }).click();
  await expect(workbench.headline).toContainText(`Your blend: ${weight}`);
  await expect(workbench.designs.locator('option:checked')).toHaveText(/, 1,000\sL$/);
  await workbench.settledBlend();
  await expectNoFault(page, size);
  await workbench.undo.click();
  await workbench.settledBlend();
  await size.getByRole('textbox', { name: 'Brew it at' }).fill('400');
  await size.getByRole('button', { name: 'Design anew at this size' }).click();
  await expect(workbench.headline).toHaveText(/^(Lightest|Closest) blend.*\skg/);
  await expect(workbench.designs.locator('option:checked')).toHaveText(/, 400\sL$/);
});
