// What holds of every page in every look: narrow and wide, light and dark, axe finds no fault, everything
// stands out and nothing scrolls sideways. One page is loaded once and shown in each look. A scheme changes
// colours alone, so in the dark nothing else is looked at: all else of the page is as it was in the light.
import { AxeBuilder } from '@axe-core/playwright';
import { expect, test, type Locator, type Page } from '@playwright/test';
import { faultsOfContrast } from './contrast.ts';

const WIDTHS = [1280, 390];
const SCHEMES = ['light', 'dark'] as const;
/** The rules of axe that look at colours. They take longer than all others together. */
const COLOUR_RULES = ['color-contrast', 'link-in-text-block'];

/** Marks the part of a page that axe is to look at. */
const LOOKED_AT = 'data-looked-at';

/** Every fault axe finds in the page, or in a part of it. */
async function faultsOfAxe(
  page: Page,
  within: Locator | undefined,
  looked: 'at colours' | 'at all else',
): Promise<string[]> {
  // Without frames there is nothing to gather in a page of its own, which the legacy mode leaves out.
  const axe = new AxeBuilder({ page }).options({ resultTypes: ['violations'] }).setLegacyMode();
  if (looked === 'at colours') axe.withRules(COLOUR_RULES);
  else axe.disableRules(COLOUR_RULES);
  if (within !== undefined) {
    await within.evaluate((part, mark) => part.setAttribute(mark, ''), LOOKED_AT);
    axe.include(`[${LOOKED_AT}]`);
  }
  const { violations } = await axe.analyze();
  await within?.evaluate((part, mark) => part.removeAttribute(mark), LOOKED_AT);
  return violations.flatMap(({ id, nodes }) =>
    nodes.map((node) => `${id}: ${node.target.join(' ')}: ${node.failureSummary}`),
  );
}

/**
 * Holds that axe finds nothing on the page, or in a part of it that the rest of the page does not depend on,
 * and that all of the page stands out. The latter is our own measure: it asks for more than axe's and takes
 * milliseconds.
 */
export async function expectNoFault(page: Page, within?: Locator): Promise<void> {
  expect(await faultsOfAxe(page, within, 'at all else')).toEqual([]);
  expect(await faultsOfContrast(page)).toEqual([]);
}

/** Holds that axe, a measure that is not ours, finds nothing in the colours of the page either. */
export async function expectColoursByAxe(page: Page, within?: Locator): Promise<void> {
  expect(await faultsOfAxe(page, within, 'at colours')).toEqual([]);
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
export async function expectSoundInEveryLook(page: Page, within?: Locator): Promise<void> {
  test.slow();
  for (const width of WIDTHS)
    for (const colorScheme of SCHEMES) {
      await page.setViewportSize({ width, height: 844 });
      await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
      if (colorScheme === 'light') await expectNoFault(page, within);
      else expect(await faultsOfContrast(page)).toEqual([]);
      if (width === WIDTHS[0]) await expectColoursByAxe(page, within);
      await expectNoSidewaysScroll(page);
    }
}
