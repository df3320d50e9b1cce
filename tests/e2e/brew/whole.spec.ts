// The whole way of a beer: a brief of one's own, its blend, what to buy, the sheet on one sheet of A4, every step
// on the phone with a reload between, the log with two deviations, a tasting by three, what it taught, and the
// next design. All of it is there after a reload, in a second tab, elsewhere from a file, and goes back and forth
// step by step.
import { readFile } from 'node:fs/promises';
import ICAL from 'ical.js';
import type { Page } from '@playwright/test';
import { faultsOfBoxes } from '../support/boxes.ts';
import { expect, test } from '../support/journey.ts';
import { kept } from '../support/kept.ts';
import { expectSoundInEveryLook } from '../support/looks.ts';
import { sheetsOf } from '../support/paper.ts';
import { expectSourced } from '../support/sourced.ts';
import { Workbench } from '../support/workbench.ts';

const DESK = { width: 1280, height: 900 };
const PHONE = { width: 390, height: 844 };

const view = (page: Page, name: string) =>
  page.getByRole('navigation', { name: 'Views of the brew' }).getByRole('link', { name });

/** The batch as the browser keeps it. */
async function keptBatch(page: Page): Promise<string> {
  const batches = Object.entries(await kept(page)).filter(([key]) => key.startsWith('batch:'));
  return JSON.stringify(batches.map(([, { value }]) => value));
}

/** Fields that follow by themselves: when something was kept, and the blend last found for a brief. */
const FOLLOWING = new Set(['saved_at', 'blend']);

/** The text of the workspace file. */
async function fileOf(page: Page): Promise<string> {
  await page.getByRole('button', { name: 'Files' }).click();
  const dialog = page.getByRole('dialog', { name: 'Files' });
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    dialog.getByRole('button', { name: 'Save a workspace file' }).click(),
  ]);
  await page.keyboard.press('Escape');
  await expect(dialog).toHaveCount(0);
  return readFile(await file.path(), 'utf8');
}

/** What a workspace file holds, without what follows by itself. */
const heldBy = (text: string): unknown =>
  JSON.parse(text, (key, value: unknown) => (FOLLOWING.has(key) ? undefined : value));
const held = async (page: Page): Promise<unknown> => heldBy(await fileOf(page));

test('a beer is designed, bought, printed, brewed, logged, tasted, learned from and designed anew', async ({
  page,
  workbench,
  context,
  browser,
  baseURL,
}) => {
  test.slow();
  const { undo, redo } = workbench;
  await workbench.open();
  await page.getByRole('button', { name: 'New', exact: true }).click();
  await page.getByRole('button', { name: 'Start without wishes' }).click();
  await workbench.unfold('Candidates');
  await workbench.brief.getByRole('radio', { name: 'This stock' }).check();
  // By keys: where a drag of so many pixels ends depends on where the handle stood, so on a search.
  for (const key of ['Home', ...Array<string>(6).fill('PageUp')]) {
    await workbench.handle('Citrus').press(key);
  }
  await expect(workbench.handle('Citrus')).toHaveAttribute('aria-valuenow', '3');
  await workbench.settledBlend();
  await page.getByRole('link', { name: 'Brew this' }).click();
  const sheet = page.getByRole('article', { name: 'Brew sheet' });
  await expect(sheet).toBeVisible();

  // Shopping: more than the stock has is told in whole packages.
  await view(page, 'Shopping').click();
  const shopping = page.getByRole('region', { name: 'Shopping', exact: true });
  await expect(shopping.getByRole('row')).not.toHaveCount(1);
  await shopping.getByRole('textbox', { name: 'Package, where its size is not known' }).fill('250');
  await shopping
    .getByRole('textbox', { name: 'Package, where its size is not known' })
    .press('Tab');
  await expect(shopping).toContainText(/× 250\sg|Nothing to buy/);
  await expectSourced(page);

  // The sheet: notes of one's own, a day, a calendar, and one page of A4.
  await view(page, 'Sheet').click();
  await page.getByLabel(/^Your notes for this brew/).fill('Gypsum 4 g, rice hulls');
  await page.getByLabel(/^Your notes for this brew/).press('Tab');
  await page.getByLabel('Brew day').fill('2026-12-05');
  await expect(sheet).toContainText('Gypsum 4 g, rice hulls');
  await expect(sheet).toContainText('Sat 5 Dec 2026');
  await expectSourced(page);
  expect(await sheetsOf(page)).toBe(1);
  const [calendar] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Calendar (.ics)' }).click(),
  ]);
  const text = await readFile(await calendar.path(), 'utf8');
  const events = new ICAL.Component(ICAL.parse(text) as unknown[]).getAllSubcomponents('vevent');
  expect(events[0]!.getFirstPropertyValue('dtstart')!.toString()).toBe('2026-12-05');

  // The phone at the kettle: a clock and the ticks outlive a reload.
  await page.getByRole('button', { name: 'Start this batch' }).click();
  await page.setViewportSize(PHONE);
  const brewhouse = page.getByRole('region', { name: 'Brewhouse' });
  await expect(brewhouse).toContainText('Step 1 of');
  const count = Number(/of (\d+)/.exec(await brewhouse.innerText())![1]);
  const done = brewhouse.getByRole('button', { name: 'Done' });
  await done.click();
  await expect(brewhouse).toContainText('Step 2 of');
  await brewhouse.getByRole('button', { name: /^Start \d+ min/ }).click();
  await expect(brewhouse.getByRole('timer')).toHaveText(/\d\d:\d\d/);
  await expect.poll(() => keptBatch(page)).toMatch(/"done":\["[^"]+"\]/);
  await page.reload();
  await expect(brewhouse).toContainText('Step 2 of');
  await expect(brewhouse.getByRole('timer')).toHaveText(/\d\d:\d\d/);
  for (let step = 2; step <= count; step += 1) {
    await expect(brewhouse).toContainText(`Step ${step} of ${count}`);
    await done.click();
  }
  await expect(brewhouse).toContainText('All steps are done');
  await page.setViewportSize(DESK);

  // The log: two deviations, and what was measured; the prediction follows.
  await view(page, 'Log').click();
  const log = page.getByRole('region', { name: 'Batch log' });
  const planned = log.getByRole('region', { name: 'Planned and brewed' });
  await expect(planned.getByRole('row').nth(1).locator('strong')).toHaveCount(0);
  const dose = log.getByRole('textbox', { name: /pellet$|cone$/ }).first();
  await dose.fill('20');
  await dose.press('Tab');
  await expect(planned.getByRole('row').nth(1).locator('strong')).toHaveCount(1);
  const warmer = log.getByRole('textbox', { name: /temperature$/ }).last();
  await warmer.fill('12');
  await warmer.press('Tab');
  const gravity = log.getByRole('textbox', { name: 'Original gravity' });
  await gravity.fill('1.057');
  const bitterness = log.getByRole('textbox', { name: 'Bitterness' });
  await bitterness.fill('31');
  await bitterness.press('Tab');
  await expect(planned.getByRole('row').nth(2)).toContainText('31');

  // The stock is drawn down once, and undo brings it back.
  const draw = log.getByRole('button', { name: 'Take what was used out of the stock' });
  await draw.click();
  await expect(log).toContainText('Taken out of the stock');
  await expect(draw).toHaveCount(0);
  await undo.click();
  await expect(draw).toHaveCount(1);
  await redo.click();
  await expect(log).toContainText('Taken out of the stock');
  await expect.poll(() => keptBatch(page)).toContain('"drawn":[{');
  await page.reload();
  await expect(dose).toHaveValue('20');
  await expect(warmer).toHaveValue('12');
  await expect(gravity).toHaveValue('1.057');
  await expect(log).toContainText('Taken out of the stock');
  const brewed = await held(page);

  // Three taste it; a table brings two more glasses, a laboratory a figure with its own precision.
  await view(page, 'Tasting').click();
  const tasting = page.getByRole('region', { name: 'Tasting', exact: true });
  const learned = tasting.getByRole('region', { name: 'What your tastings changed' });
  for (const [taster, score] of [
    ['AB', '1'],
    ['CD', '1.5'],
    ['EF', '0.5'],
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
  await tasting.getByLabel(/^Take in a tasting table/).setInputFiles({
    name: 'tasting.csv',
    mimeType: 'text/csv',
    buffer: Buffer.from('taster,citrus,resin\nGH,1,2\nIJ,1.5,\n'),
  });
  await expect(tasting.getByRole('button', { name: 'Remove the tasting by IJ' })).toBeVisible();
  const lab = tasting.getByRole('region', { name: 'Laboratory' });
  await lab.getByRole('textbox', { name: 'Found' }).fill('40');
  await lab.getByRole('textbox', { name: 'Standard deviation' }).fill('4');
  await lab.getByRole('textbox', { name: 'Standard deviation' }).press('Tab');
  await lab.getByRole('button', { name: 'Keep this figure' }).click();
  await expect(lab.getByRole('listitem')).toContainText('40 ± 4');

  // What it taught, and in one press the next design.
  await tasting.getByRole('button', { name: 'Learn from all batches' }).click();
  await expect(learned.getByRole('status')).toContainText('Learning 1');
  await expect(tasting).toContainText('points as published');
  await expect(tasting.getByRole('columnheader', { name: 'As learned' })).toBeVisible();
  // On the narrowest phone the table is as wide as the screen: a range stands under its figure.
  await page.setViewportSize({ ...PHONE, width: 320 });
  const moved = learned.getByRole('region', { name: 'What moved' });
  await expect
    .poll(() => moved.evaluate(({ scrollWidth, clientWidth }) => scrollWidth - clientWidth))
    .toBe(0);
  await page.setViewportSize(DESK);
  await tasting.getByRole('button', { name: 'Design the next batch' }).click();
  const next = tasting.getByRole('region', { name: 'Next batch' }).getByRole('status');
  await expect(next).toContainText('Open it');
  const title = await next.locator('strong').innerText();
  await expect(tasting.getByRole('region', { name: 'The batches of this beer' })).toContainText(
    '5 tasters',
  );
  await expectSourced(page);
  await expectSoundInEveryLook(page);
  await page.setViewportSize(PHONE);
  await expect.poll(() => faultsOfBoxes(page)).toEqual([]);
  await page.setViewportSize(DESK);

  // Step by step back to what was brewed, and forth again.
  const file = await fileOf(page);
  const taught = heldBy(file);
  const steps: string[] = [];
  while (await undo.isEnabled()) {
    steps.push((await undo.getAttribute('title'))!);
    await undo.click();
    await expect.poll(() => undo.getAttribute('title')).not.toBe(steps.at(-1));
  }
  expect(steps.length).toBe(7);
  await expect.poll(() => held(page)).toEqual(brewed);
  for (const _ of steps) await redo.click();
  await expect.poll(() => held(page)).toEqual(taught);

  // A reload, a second tab, and another browser by a file have it all.
  await expect.poll(() => keptBatch(page)).toContain('"taster":"IJ"');
  await page.reload();
  await expect(learned.getByRole('status')).toContainText(/from 1\s+batch/);
  await expect.poll(() => held(page)).toEqual(taught);
  const other = await context.newPage();
  await other.goto(page.url());
  const there = other.getByRole('region', { name: 'What your tastings changed' });
  await expect(there.getByRole('status')).toContainText('predictions, ranges and searches use');
  await expect.poll(() => held(other)).toEqual(taught);
  await other.getByRole('checkbox', { name: 'Use what was learned' }).uncheck();
  await expect(learned.getByRole('status')).toContainText('switched off');
  await expect(tasting.getByRole('columnheader', { name: 'As learned' })).toHaveCount(0);
  await other.close();

  const fresh = await browser.newContext({ ...(baseURL && { baseURL }) });
  const elsewhere = new Workbench(await fresh.newPage());
  await elsewhere.open();
  await elsewhere.page.getByRole('button', { name: 'Files' }).click();
  const files = elsewhere.page.getByRole('dialog', { name: 'Files' });
  await files.getByLabel(/^Open a workspace file/).setInputFiles({
    name: 'workspace.json',
    mimeType: 'application/json',
    buffer: Buffer.from(file),
  });
  await files.getByRole('button', { name: 'Replace everything here' }).click();
  await expect(files).toHaveCount(0);
  await expect.poll(() => held(elsewhere.page)).toEqual(taught);
  await elsewhere.designs.selectOption(title);
  await expect(elsewhere.blend.first()).toBeVisible();
  await fresh.close();

  // What was learned goes from one device to another by itself too, is taken back, and undo knows both.
  const [alone] = await Promise.all([
    page.waitForEvent('download'),
    learned.getByRole('button', { name: 'Save it as a file' }).click(),
  ]);
  await tasting.getByRole('button', { name: 'Take it back' }).click();
  await expect(learned.getByRole('status')).toContainText('Nothing was learned yet');
  const reading = learned.getByLabel('Read it from a file');
  await reading.setInputFiles({
    name: 'odd.json',
    mimeType: 'application/json',
    buffer: Buffer.from('{}'),
  });
  await expect(learned.getByRole('alert')).toContainText('Not read: odd.json, version');
  await reading.setInputFiles(await alone.path());
  await expect(learned.getByRole('status')).toContainText('predictions, ranges and searches use');
  await undo.click();
  await expect(learned.getByRole('status')).toContainText('Nothing was learned yet');
  await undo.click();
  await expect(learned.getByRole('status')).toContainText('switched off');
});
