// What someone sees who opens the page for the first time, with scripts or without.
import { expect, test } from './support/journey.ts';

/** Fewer than a script has that holds the hop table, which is 436 kB. */
const TABLE_BYTES = 300_000;
/** A demo design with a hot steep and a dry hop. */
const HOT_AND_DRY = 'What six remainders can do';

test('the demo is there, solved, in either system of units', async ({ page, workbench }) => {
  await workbench.open();
  await expect(workbench.headline).toHaveText(/^Lightest blend: [\d.,]+\s(g|kg), /);
  await expect(workbench.proof).toBeVisible();
  await expect(workbench.blend.first()).toContainText(/\d\s(g|kg)/);
  await expect(workbench.undo).toBeDisabled();
  const cost = workbench.answer.getByRole('region', { name: 'Totals' }).getByText('Cost');
  await expect(cost.locator('..')).toHaveText(/Cost\s*\d+\.\d\d\s*at prices the demo invented/);
  // What is loaded below is there before the shifts are counted.
  await expect(page.getByRole('heading', { name: 'Why these?' })).toBeVisible();
  const { painted, shifted } = await page.evaluate(async () => {
    type Told = PerformanceEntry & { readonly value: number };
    // One observer of both: it is called, because something was painted, and tells what came until then.
    const told = await new Promise<Told[]>((done) => {
      const observer = new PerformanceObserver((list) => done(list.getEntries() as Told[]));
      for (const type of ['layout-shift', 'largest-contentful-paint'])
        observer.observe({ type, buffered: true });
    });
    const paints = told.filter(({ entryType }) => entryType === 'largest-contentful-paint');
    const shifts = told.filter(({ entryType }) => entryType === 'layout-shift');
    return {
      painted: paints.at(-1)?.startTime ?? NaN,
      shifted: shifts.reduce((sum, { value }) => sum + value, 0),
    };
  });
  // The paint is told, not judged: a busy machine paints late. What moves under a hand is judged.
  const report = `largest contentful paint after ${painted.toFixed(0)} ms, layout shift ${shifted}`;
  test.info().annotations.push({ type: 'speed', description: report });
  console.log(report);
  expect(shifted).toBe(0);
  // Nothing that the page loads by itself brings the hop table with it.
  const scripts = await page.evaluate(() =>
    (performance.getEntriesByType('resource') as PerformanceResourceTiming[])
      .filter(({ name }) => name.endsWith('.js') && !name.includes('worker'))
      .map(({ decodedBodySize }) => decodedBodySize),
  );
  expect(scripts.length).toBeGreaterThan(8);
  expect(Math.max(...scripts)).toBeLessThan(TABLE_BYTES);

  // Another system of units changes the words, not the blend.
  const additions = await workbench.blend.count();
  await page.getByRole('combobox', { name: 'Units' }).selectOption('US');
  await expect(workbench.blend.first()).toContainText('oz');
  await expect(workbench.blend).toHaveCount(additions);
  await expect(workbench.undo).toBeDisabled();
});

test.describe('without scripts', () => {
  test.use({ javaScriptEnabled: false });

  test('the demo is in the page itself', async ({ page, workbench }) => {
    await page.goto('./');
    await expect(workbench.headline).toHaveText(/^Lightest blend: [\d.,]+\s(g|kg), /);
    await expect(workbench.blend.first()).toContainText(/\d\s(g|kg)/);
    await expect(page.getByRole('region', { name: 'Brew day' })).toContainText('Spent hops');
  });
});

test('every demo design can be opened and is answered, cautions beside the steps they belong to', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  const names = await workbench.designs.getByRole('option').allInnerTexts();
  expect(names.length).toBeGreaterThan(1);
  expect(names).toContain(HOT_AND_DRY);
  for (const name of names.reverse()) {
    await workbench.designs.selectOption(name);
    await workbench.stopOrSettle();
    await expect(workbench.headline).toHaveText(/blend/);
    await expect(workbench.blend.first()).toContainText(/\d\s(g|kg)/);
    if (name !== HOT_AND_DRY) continue;
    const steps = page.getByRole('region', { name: 'Brew day' }).getByRole('listitem');
    const steep = steps.filter({ hasText: 'Hot steep' }).first();
    await expect(steep).toContainText('scald');
    const dryHop = steps.filter({ hasText: 'Dry hop' }).first();
    await expect(dryHop).toContainText('foam');
    await expect(dryHop).toContainText('Carbon dioxide');
  }
});

test('the demo is put away in one press, for a design and a stock of one’s own', async ({
  page,
  workbench,
}) => {
  await workbench.open();
  await workbench.settledBlend();
  await page.getByRole('button', { name: 'Start with my own' }).click();
  await expect(workbench.designs.getByRole('option')).toHaveCount(1);
  await expect(workbench.headline).toHaveText('Nothing wished yet.');
  await page.getByRole('link', { name: 'Stock', exact: true }).first().click();
  await expect(page.getByRole('row')).toHaveCount(0);
  await page.getByRole('link', { name: 'Design', exact: true }).first().click();
  await workbench.undo.click();
  await expect.poll(() => workbench.designs.getByRole('option').count()).toBeGreaterThan(1);
});
