// What holds of every page in every look: narrow and wide, light and dark, axe finds no fault and
// nothing scrolls sideways. One page is loaded once and shown in each look. A scheme changes colours alone, so
// in the dark axe looks at those: all else of the page is as it was in the light.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, test, type Page } from '@playwright/test';

const WIDTHS = [1280, 390];
const SCHEMES = ['light', 'dark'] as const;
/** The rules of axe that look at colours. */
export const COLOUR_RULES = ['color-contrast', 'link-in-text-block'];

/**
 * Holds that axe finds nothing on the page, or in the part of it that a selector names.
 * @param rules those alone that it looks for, or those that it leaves out; all where absent.
 */
export async function expectNoFault(
  page: Page,
  within?: string,
  rules: { readonly only?: string[]; readonly but?: string[] } = {},
): Promise<void> {
  // Without frames there is nothing to gather in a page of its own, which the legacy mode leaves out.
  const axe = new AxeBuilder({ page }).options({ resultTypes: ['violations'] }).setLegacyMode();
  if (rules.only) axe.withRules(rules.only);
  if (rules.but) axe.disableRules(rules.but);
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
      await expectNoFault(page, within, colorScheme === 'dark' ? { only: COLOUR_RULES } : {});
      await expectNoSidewaysScroll(page);
    }
}
