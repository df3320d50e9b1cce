// What holds of every page in every look: narrow and wide, light and dark, axe finds no fault and
// nothing scrolls sideways. One page is loaded once and shown in each look.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';

const WIDTHS = [1280, 390];
const SCHEMES = ['light', 'dark'] as const;

/** Holds that axe finds nothing on the page, or in the part of it that a selector names. */
export async function expectNoFault(page: Page, within?: string): Promise<void> {
  // Without frames there is nothing to gather in a page of its own, which the legacy mode leaves out.
  const axe = new AxeBuilder({ page }).options({ resultTypes: ['violations'] }).setLegacyMode();
  const { violations } = await (within === undefined ? axe : axe.include(within)).analyze();
  const found = violations.flatMap(({ id, nodes }) =>
    nodes.map((node) => `${id}: ${node.target.join(' ')}: ${node.failureSummary}`),
  );
  expect(found).toEqual([]);
}

/** Holds that the page is no wider than the screen. */
export async function expectNoSidewaysScroll(page: Page): Promise<void> {
  const [wide, screen] = await page.evaluate(() => [
    document.documentElement.scrollWidth,
    document.documentElement.clientWidth,
  ]);
  expect(wide).toBeLessThanOrEqual(screen!);
}

/** Holds both in every look; `within` narrows what axe looks at, say to an open dialog. */
export async function expectSoundInEveryLook(page: Page, within?: string): Promise<void> {
  test.slow();
  for (const width of WIDTHS)
    for (const colorScheme of SCHEMES) {
      await page.setViewportSize({ width, height: 844 });
      await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
      await expectNoFault(page, within);
      await expectNoSidewaysScroll(page);
    }
}
