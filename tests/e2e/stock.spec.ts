// The stock: a list comes in with a header to choose and a line to mend, is edited, undone, kept and
// written out the same; a hop that is used up leads to its replacement; nothing for axe to find. And what a
// person brings along, by mouse and by keys: a hop of their own, a schedule in their own language.
import { readFile } from 'node:fs/promises';
import { expect, holdScripts, test } from './support/journey.ts';
import { kept } from './support/kept.ts';
import { expectSourced } from './support/sourced.ts';
import type { Page } from '@playwright/test';
import { Keyboard, Mouse, type Hands } from './support/hands.ts';
import { expectNoFault, expectSoundInEveryLook } from './support/looks.ts';

const LIST = [
  'Sorte;Menge kg;Shelf;HSI;Alpha %;Notes',
  'Citra;1,5;3;0,55;12,5;"north; top"',
  'Saas;0,4;1;;;',
  'Magnum;2;2;0,28;13;',
  '',
].join('\r\n');

test('a list is mapped, mended, taken, edited, undone, kept and written out', async ({ page }) => {
  const table = page.getByRole('region', { name: 'Lots' });
  const undo = page.getByRole('button', { name: 'Undo' });
  const totals = page.getByText(/ in \d+\s+lots, worth/);
  // Of two figures typed before the scripts have come one is left already: each is taken once, when it is left.
  const release = await holdScripts(page);
  await page.goto('/stock/', { waitUntil: 'commit' });
  const asSent = await totals.innerText();
  await page.getByLabel('Amarillo 2025: Price').fill('138');
  const grams = page.getByLabel('Amarillo 2025: On hand');
  await grams.fill('1850');
  release();
  await expect(undo).toBeEnabled();
  await expect(grams).toBeFocused();
  await expect(grams).toHaveValue('1850');
  const priced = await totals.innerText();
  expect(priced).not.toBe(asSent);
  await grams.press('Tab');
  await expect(totals).not.toHaveText(priced);
  await undo.click();
  await expect(totals).toHaveText(priced);
  await undo.click();
  await expect(totals).toHaveText(asSent);
  await expect(undo).toBeDisabled();

  // On a desk what can be done with a lot stands in one line.
  const acts = table.locator('tbody tr').first().getByRole('cell').last().getByRole('button');
  const tops = await acts.evaluateAll((all) => all.map((of) => of.getBoundingClientRect().top));
  expect(Math.max(...tops) - Math.min(...tops)).toBeLessThan(8);

  await page.getByRole('button', { name: 'Import a list' }).click();
  const dialog = page.getByRole('dialog');
  const buffer = Buffer.from(LIST, 'latin1');
  await dialog
    .getByLabel('CSV file')
    .setInputFiles({ name: 'list.csv', mimeType: 'text/csv', buffer });
  await expect(dialog.getByText('cells parted by semicolons')).toBeVisible();
  await expect(dialog.getByRole('combobox', { name: 'Sorte' })).toHaveValue('hop');
  await expect(dialog.getByLabel('Menge kg')).toHaveValue('grams_on_hand (kg)');
  await expect(dialog.getByLabel('Decimal mark')).toHaveValue('comma');
  // A header nobody knows is left out until it is given a meaning.
  await expect(dialog.getByLabel('Shelf')).toHaveValue('');
  await dialog.getByLabel('Shelf').selectOption('price_per_kg');
  await expect(dialog.getByText('1 line cannot be read')).toBeVisible();
  await expect(dialog.getByText(/line 3, Sorte: .*Saas.*Write Saaz/i)).toBeVisible();
  await expect(dialog.getByRole('button', { name: 'Take 2 lots, leave 1 out' })).toBeVisible();
  await dialog.getByRole('button', { name: 'Write Saaz for Saas in line 3' }).click();
  await dialog.getByLabel('Replace the whole stock').check();
  await dialog.getByRole('button', { name: 'Take 3 lots' }).click();
  await expect(dialog).toHaveCount(0);

  await expect(table.locator('tbody tr')).toHaveCount(3);
  await expect(page.getByText(/in 3\s+lots, worth/)).toContainText('3.9 kg');
  await expect(page.getByText(/in 3\s+lots, worth/)).toContainText('8.90');
  await expect(page.getByRole('region', { name: 'Past their best' })).toContainText('0.55');
  await expectSourced(page);

  const price = page.getByLabel('Magnum: Price');
  await price.fill('25');
  await price.press('Tab');
  await expect(page.getByText(/in 3\s+lots, worth/)).toContainText('54.90');
  await page.getByRole('button', { name: 'Remove Saaz' }).click();
  await expect(table.locator('tbody tr')).toHaveCount(2);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(table.locator('tbody tr')).toHaveCount(3);

  await expect.poll(async () => JSON.stringify(await kept(page))).toContain('"price_per_kg":25');
  await page.reload();
  await expect(table.locator('tbody tr')).toHaveCount(3);
  await expect(page.getByLabel('Magnum: Price')).toHaveValue('25');

  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Export as CSV' }).click(),
  ]);
  const text = await readFile(await download.path(), 'utf8');
  expect(text.split('\r\n')).toEqual([
    'hop,form,grams_on_hand,price_per_kg,storage_index,note,alpha_pct',
    'Citra,pellet_90,1500,3,0.55,north; top,12.5',
    'Saaz,pellet_90,400,1,,,',
    'Magnum,pellet_90,2000,25,0.28,,13',
    '',
  ]);

  await page.getByLabel('Search the stock').fill('north');
  await expect(table.locator('tbody tr')).toHaveCount(1);
});

test('a hop out of stock leads to its replacement in the open design', async ({
  page,
  workbench,
}) => {
  await page.goto('/');
  const first = page.getByRole('button', { name: /^Out of stock: / }).first();
  const hop = (await first.getAttribute('aria-label'))!.replace('Out of stock: ', '');
  await page.getByRole('link', { name: 'Stock', exact: true }).click();
  const rows = page.getByRole('region', { name: 'Lots' }).locator('tbody tr');
  const marks = rows.filter({ hasText: hop }).getByRole('button', { name: /^Out of stock: / });
  await expect(rows.first()).toBeVisible();
  while ((await marks.count()) > 0) await marks.first().click();
  // The mark of the last lot leads on, and says so before.
  await rows.getByRole('button', { name: `Out of stock, replace: ${hop}` }).click();
  await expect(page.getByRole('heading', { name: `In place of ${hop}` })).toBeVisible();

  // Candidates taken from the stock are without it.
  await workbench.unfold('Candidates');
  await page.getByRole('radio', { name: 'This stock' }).check();
  await page.getByRole('button', { name: 'Take the stock as it is today' }).click();
  await expect(page.getByLabel(`${hop} on hand`)).toHaveCount(0);
});

test('what is known of a lot is sound in every look', async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await page.goto('/stock/');
  await page.getByLabel('Search the stock').fill('Ca');
  await expect(page.getByText(/lots match/)).toBeVisible();
  // On a phone a lot is a line, and all else of it a press away.
  await page.getByRole('rowheader').first().getByRole('button').click();
  await page
    .getByRole('button', { name: /: analysis and age$/ })
    .first()
    .click();
  await expectSoundInEveryLook(page, page.getByRole('dialog'));
});

test('what the loss with age lacks is told once; a refused figure keeps its sentence', async ({
  page,
}) => {
  await page.goto('/stock/');
  const rows = page.getByRole('region', { name: 'Lots' }).locator('tbody tr');
  const told = page.getByText(/^Lost with age:/);
  await expect(told).toContainText('33 of 33');
  await expect(rows.filter({ hasText: 'needs' })).toHaveCount(0);
  await page.getByRole('button', { name: 'Show which' }).click();
  await expect(rows.filter({ hasText: 'needs temperature, pack' })).toHaveCount(33);
  // A lot stays in sight while what it lacks is filled in.
  await page.getByLabel('Amarillo 2025: pack', { exact: true }).selectOption('vacuum');
  await page.getByLabel('Amarillo 2025: Kept at').fill('-18');
  await page.getByLabel('Amarillo 2025: Kept at').press('Tab');
  await expect(told).toContainText('32 of 33');
  await expect(rows).toHaveCount(33);
  await expect(rows.first()).toContainText('months');
  await page.getByRole('button', { name: 'Show all lots' }).click();
  await expect(rows.filter({ hasText: 'needs' })).toHaveCount(0);

  // A figure that cannot be keeps its sentence when lots above it go.
  const price = page.getByLabel('Centennial 2025: Price');
  await price.fill('dear');
  await price.press('Tab');
  const refusal = rows.filter({ has: price }).getByRole('alert');
  await expect(refusal).toBeVisible();
  await page.getByRole('button', { name: 'Remove Amarillo 2025' }).click();
  await expect(rows).toHaveCount(32);
  await expect(price).toHaveValue('dear');
  await expect(refusal).toBeVisible();
});

test('a figure that may be two is asked for, a day that cannot be is refused', async ({ page }) => {
  await page.goto('/stock/');
  await page.getByRole('button', { name: 'Import a list' }).click();
  const dialog = page.getByRole('dialog');
  const buffer = Buffer.from('sep=;\r\nhop;Bestand\r\nCitra;1.500\r\n');
  await dialog
    .getByLabel('CSV file')
    .setInputFiles({ name: 'list.csv', mimeType: 'text/csv', buffer });
  await expect(dialog.getByLabel('Bestand')).toHaveValue('grams_on_hand');
  await expect(dialog.getByRole('alert')).toHaveText(
    'In line 3 1.500 may be 1.5 or 1500. Choose the decimal mark.',
  );
  await expect(dialog.getByRole('button', { name: 'Take' })).toHaveCount(0);
  await dialog.getByLabel('Decimal mark').selectOption('comma');
  await expect(dialog.getByText('1,500 g')).toBeVisible();
  await dialog.getByLabel('Replace the whole stock').check();
  await dialog.getByRole('button', { name: 'Take 1 lot' }).click();
  await expect(dialog).toHaveCount(0);

  const opened = page.getByLabel('Citra: opened on');
  await opened.fill('2099-12-31');
  await opened.press('Tab');
  await expect(page.getByText(/still to come/)).toContainText('Give the day the pack was opened');
  await opened.fill('2024-03-01');
  await opened.press('Tab');
  await expect(page.getByText(/still to come/)).toHaveCount(0);
  const harvest = page.getByLabel('Citra: Harvest');
  await harvest.fill('2025');
  await harvest.press('Tab');
  await expect(page.getByText(/opened before the hops were picked/)).toBeVisible();
});

const HANDS = [
  { by: 'mouse', handsOf: (page: Page): Hands => new Mouse(page) },
  { by: 'keys', handsOf: (page: Page): Hands => new Keyboard(page) },
];

const SCHEDULE = [
  'Rezept Helles Pale Ale;;;',
  'Hopfen;Zugabe;Menge;Alpha %',
  'Perle;Kochen 60 min;20 g;7,2',
  'Saphir;Whirlpool 80 °C;0,05 kg;3,8',
  'Mosaik;Kalthopfung 3 Tage;80 g;11,9',
  'Summe;;150 g;',
].join('\n');

for (const { by, handsOf } of HANDS) {
  test(`a hop of one's own by ${by}`, async ({ page }) => {
    await page.goto('/stock/');
    const hands = handsOf(page);
    // Without the long table between, as one who goes by keys would look it up first.
    await hands.write(page.getByLabel('Search the stock'), 'Garden');
    await expect(page.getByText('No lot matches')).toBeVisible();
    const name = page.getByLabel('Add a hop');
    await hands.write(name, 'Cascad');
    await hands.press(page.getByRole('button', { name: 'Add lot' }));
    await expect(page.getByRole('alert')).toHaveText(
      'The hop table has no variety called “Cascad”. Is Cascade meant? Or give its analysis as a hop of your own.',
    );
    await hands.press(page.getByRole('button', { name: 'Cascade', exact: true }));
    await expect(page.getByRole('alert')).toHaveCount(0);
    await expect(name).toHaveValue('');

    // Alpha acids alone do for predictions; why designs leave it out is said before it is added.
    await hands.write(name, 'Garden Gate');
    await hands.press(page.getByRole('button', { name: 'A hop of your own…' }));
    const dialog = page.getByRole('dialog', { name: 'A hop of your own' });
    await expect(dialog.getByLabel('Name')).toHaveValue('Garden Gate');
    await hands.write(dialog.getByLabel('alpha acids'), '7.5');
    await expect(dialog.getByText(/Designs leave it out until its analysis gives/)).toContainText(
      'total oil',
    );
    await hands.write(dialog.getByLabel('total oil'), '1.4');
    await hands.press(dialog.getByText('Compounds of its oil, thiols'));
    for (const compound of ['myrcene', 'alpha-humulene', 'linalool', 'geraniol']) {
      await hands.write(
        dialog.getByLabel(compound, { exact: true }),
        { myrcene: '40', 'alpha-humulene': '20' }[compound] ?? '0.6',
      );
    }
    await expect(dialog.getByText('predictions and designs can use it')).toBeVisible();
    await hands.write(dialog.getByLabel('On hand'), '150');
    await expectNoFault(page, page.getByRole('dialog'));
    await hands.press(dialog.getByRole('button', { name: 'Add lot' }));
    await expect(dialog).toHaveCount(0);

    const more = page.getByRole('button', { name: 'More of Garden Gate: analysis and age' });
    await hands.press(more);
    const lot = page.getByRole('dialog');
    await hands.write(lot.getByLabel('Name'), '');
    await expect(lot.getByRole('alert')).toHaveText('A lot needs a name.');
    await hands.write(lot.getByLabel('Name'), 'Garden Wall');
    await expect(lot.getByRole('alert')).toHaveCount(0);
    await page.keyboard.press('Escape');
    await expect(
      page.getByRole('button', { name: 'More of Garden Wall: analysis and age' }),
    ).toBeVisible();
    await expect(page.getByRole('button', { name: 'Undo' })).toHaveAttribute(
      'title',
      /change Garden Gate/,
    );
  });

  test(`a schedule of one's own is opened by ${by}`, async ({ page, workbench }) => {
    await workbench.open();
    await workbench.settledBlend();
    const hands = handsOf(page);
    await hands.press(workbench.brief.getByRole('button', { name: 'Import', exact: true }));
    const dialog = page.getByRole('dialog');
    await hands.give(
      dialog.getByLabel(/^Schedule or recipe/),
      dialog.getByLabel('Or paste it here'),
      SCHEDULE,
    );
    await expect(dialog.getByText('Left out: 1 line above the names of the columns')).toContainText(
      '1 line of sums',
    );
    await expect(dialog.getByLabel('Zugabe')).toHaveValue('stage');
    await hands.press(dialog.getByRole('button', { name: 'Write Mosaic for Mosaik in line 5' }));
    await expect(dialog.getByText('3 additions can be taken')).toBeVisible();
    const open = dialog.getByRole('button', { name: 'Open', exact: true });
    await expect(open).toBeDisabled();
    await hands.write(dialog.getByLabel('Beer volume'), '25');
    await hands.choose(dialog.getByLabel('Yeast'), 'Standard');
    await expectNoFault(page, page.getByRole('dialog'));
    await hands.press(open);
    await expect(dialog).toHaveCount(0);
    await expect(workbench.headline).toHaveText(/^Your blend: 150\sg/);
    // Opened, and nothing else is asked.
    await expect(page.getByRole('region', { name: 'Cheaper or lighter' })).toHaveCount(0);
  });
}
