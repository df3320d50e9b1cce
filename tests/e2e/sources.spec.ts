// From any figure to where it is from: every number of every page says so, and one step tells it with the
// equation filled in; by pointer and by keyboard, with nothing for axe to find.
import type { Locator } from '@playwright/test';
import { expect, test } from './support/journey.ts';
import { expectNoFault, expectNoSidewaysScroll } from './support/looks.ts';
import { expectSourced } from './support/sourced.ts';

for (const path of ['/hops/', '/hops/cascade/', '/stock/', '/compare/', '/evidence/']) {
  test(`every number of ${path} says where it is from`, async ({ page, workbench }) => {
    await page.goto(path);
    if (path === '/stock/') await page.getByRole('button', { name: 'Show which' }).click();
    await workbench.unfoldAll();
    await expectSourced(page);
  });
}

test('a number that says nothing, or what is not so, is found', async ({ page }) => {
  await page.goto('/hops/cascade/');
  // Before the page's scripts have come, what is changed here would be put right by them.
  await page.waitForFunction(() => window.early === undefined);
  const figure = page.locator('[data-from="cell/cascade/alpha_pct"]').first();
  await figure.evaluate((element) => element.setAttribute('data-from', 'cell/cascade/none'));
  await expect(expectSourced(page)).rejects.toThrow('cell/cascade/none');
  await page.locator('[data-from="cell/cascade/none"]').evaluate((element) => {
    element.removeAttribute('data-from');
  });
  await expect(expectSourced(page)).rejects.toThrow('5.63');
});

/** The arithmetic as it is written, read by nothing that wrote it. */
function evaluated(text: string): number {
  const code = text
    .replaceAll('−', '-')
    .replaceAll('×', '*')
    .replaceAll('^', '**')
    .replaceAll(/\b(exp|min|max)\(/g, 'Math.$1(');
  return Number(new Function(`return ${code}`)());
}

test('a figure of the workbench leads to its equation, its rows and their sources', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await workbench.settledBlend();
  await expect(page.getByRole('heading', { name: 'How sure?' })).toBeVisible();
  await workbench.unfoldAll();
  await expect(page.getByText('What only research could settle')).toBeVisible();
  await expect(page.getByText('What brings each wished note')).toBeVisible();
  await workbench.unfoldAll();
  await expectSourced(page);

  // By pointer: the equation as shown comes to the figure as shown.
  const table = page.getByRole('region', { name: 'Compounds in figures' });
  const cell = table
    .getByRole('row', { name: /^linalool/ })
    .getByRole('cell')
    .first();
  const shown = (await cell.textContent())!;
  await cell.click();
  const dialog = page.getByRole('dialog', { name: 'Linalool in the beer' });
  await expect(dialog.getByText(`${shown} µg/L`, { exact: true })).toBeVisible();
  const filled = dialog.getByRole('region', { name: 'The equation, filled in' });
  const parts = await filled.locator('.numbers:has(+ .value)').allTextContents();
  const sum = parts.slice(0, -1).reduce((all, part) => all + evaluated(part), 0);
  expect(parts.at(-1)).toBe('in all');
  expect(Math.abs(sum / Number(shown.replace(',', '')) - 1)).toBeLessThan(0.01);
  const cells = dialog.getByRole('region', { name: /^Hop figures/ });
  await expect(cells.getByRole('link', { name: /^linalool of/ }).first()).toBeVisible();
  await expectNoFault(page, page.getByRole('dialog'));
  await page.setViewportSize({ width: 390, height: 844 });
  await page.emulateMedia({ colorScheme: 'dark', reducedMotion: 'reduce' });
  await expectNoFault(page, page.getByRole('dialog'));
  await expectNoSidewaysScroll(page);
  await page.setViewportSize({ width: 1280, height: 900 });

  // On to another figure, and from there to the row it stands on.
  await choose(dialog, /^Geraniol: compound/);
  await expect(page.getByRole('dialog', { name: 'Geraniol in the beer' })).toBeVisible();
  await page.keyboard.press('Escape');

  // By keyboard: Enter on the table.
  await table.focus();
  await page.keyboard.press('Enter');
  await expect(page.getByRole('dialog')).toBeVisible();
  await page.keyboard.press('Escape');
  await expect(table).toBeFocused();

  // Asked again before the browser has told that the one before is closed, it opens all the same.
  const totals = page.getByRole('region', { name: 'Totals' });
  await table.focus();
  await page.keyboard.press('Enter');
  await expect(page.getByRole('dialog')).toBeVisible();
  await totals.getByRole('button', { name: 'Sources' }).evaluate((button: HTMLButtonElement) => {
    document.querySelector('dialog')!.close();
    button.click();
  });
  await expect(page.getByRole('dialog', { name: 'Hops in all' })).toBeVisible();
  await page.keyboard.press('Escape');
  await expect(page.getByRole('dialog')).toHaveCount(0);

  // By the button of a panel; a link leads to the row.
  // On a busy machine one press in many is lost while the dialog before goes: it is pressed again.
  await expect(async () => {
    await totals.getByRole('button', { name: 'Sources' }).focus();
    await page.keyboard.press('Enter');
    await expect(page.getByRole('dialog', { name: 'Hops in all' })).toBeVisible({ timeout: 3000 });
  }).toPass();
  await choose(page.getByRole('dialog', { name: 'Hops in all' }), /^Bitterness as a/);
  const bitter = page.getByRole('dialog', { name: 'Bitterness' });
  const alpha = bitter.getByRole('link', { name: /^alpha acids of/ }).first();
  await alpha.focus();
  await page.keyboard.press('Enter');
  await expect(page).toHaveURL(/\/hops\/[a-z0-9-]+\/?#cell\/[a-z0-9-]+\/alpha_pct$/);
  await expect(page.getByRole('row', { name: /^alpha acids/ }).first()).toBeInViewport();
});

async function choose(dialog: Locator, start: RegExp): Promise<void> {
  const figures = dialog.getByRole('combobox', { name: 'Figure' });
  const options = await figures.locator('option').allTextContents();
  await figures.selectOption({ index: options.findIndex((option) => start.test(option)) });
}
