// What is in sight stays where it is and has room: the chart of the wish does not move while a handle is dragged, the
// search runs and its blend comes, and the longer figures of US units fit their columns.
import { devices, type Page } from '@playwright/test';
import { faultsOfBoxes } from '../support/boxes.ts';
import { expect, softly, test } from '../support/journey.ts';
import type { Workbench } from '../support/workbench.ts';

/** One in each layout, and the narrowest; those below 700 px are phones. */
const WIDTHS = [320, 390, 768, 1000, 1280];

/** Where the top of the chart was, frame by frame, px from the top of the page; each place once. */
async function placesOfChart(page: Page, act: () => Promise<void>): Promise<number[]> {
  const chart = page.getByRole('group', { name: 'Target profile' });
  const watch = await chart.evaluateHandle((of) => {
    const places = new Set<number>();
    const look = () => {
      places.add(Math.round(of.getBoundingClientRect().top + scrollY));
      requestAnimationFrame(look);
    };
    look();
    return places;
  });
  await act();
  return watch.evaluate((places) => [...places]);
}

async function dragAndUndo(page: Page, workbench: Workbench): Promise<void> {
  await workbench.take('Citrus', 25);
  await expect(workbench.proof.or(page.getByText(/^Not proven yet/)).first()).toBeVisible();
  await page.mouse.up();
  await expect(workbench.headline).toHaveText(/^(Lightest|Closest)/);
  await workbench.settledBlend();
  await page.getByRole('button', { name: 'Undo' }).last().click();
  await workbench.settledBlend();
}

for (const width of WIDTHS) {
  test.describe(`at ${width} px`, () => {
    const { hasTouch, isMobile } = devices[width < 700 ? 'Pixel 5' : 'Desktop Chrome'];
    test.use({ viewport: { width, height: 900 }, hasTouch, isMobile });
    test('the chart stays in its place while the blend follows it', async ({ page, workbench }) => {
      await workbench.open();
      await workbench.settledBlend();
      expect(await placesOfChart(page, () => dragAndUndo(page, workbench))).toHaveLength(1);
    });
  });
}

test('figures in US units fit where those of metric units do', async ({ page, workbench }) => {
  await workbench.open();
  await workbench.settledBlend();
  await page.getByRole('combobox', { name: 'Units' }).selectOption('US');
  await expect(workbench.headline).toContainText('oz/gal');
  // The longest lines at the side of a chart: an aim, and by how much it is missed.
  await workbench.handle('Stone fruit').press('Enter');
  await workbench.brief.getByLabel('Selected: Stone fruit kind').selectOption('aim at');
  await workbench.field('Selected: Stone fruit value').fill('4.9');
  await workbench.field('Selected: Stone fruit value').press('Enter');
  await expect(workbench.brief.getByText(/^\d\.\d short$/).first()).toBeVisible();
  for (const width of [320, 390, 768, 900, 1280]) {
    await page.setViewportSize({ width, height: 900 });
    await softly.poll(() => faultsOfBoxes(page), `at ${width} px`).toEqual([]);
  }
});
