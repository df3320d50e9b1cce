// What holds of every page in every look: narrow and wide, light and dark, axe finds no fault, everything stands out
// and nothing scrolls sideways. A page is loaded once and shown in each look. A scheme changes only colours, so in
// the dark only colours are checked.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { expect, test, type Locator, type Page } from '@playwright/test';
import type axe from 'axe-core';
import type { RunOptions } from 'axe-core';
import { faultsOfContrast } from './contrast.ts';

const WIDTHS = [1280, 390];
const SCHEMES = ['light', 'dark'] as const;
/** The script of axe, of half the length of the one it gives by itself. */
const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
/** The rules of axe that look at colours. They take longer than all others together. */
const COLOUR_RULES = ['color-contrast', 'link-in-text-block'];

/** Every fault axe finds in the page, or in a part of it. */
async function faultsOfAxe(
  page: Page,
  within: Locator | undefined,
  looked: 'at colours' | 'at all else',
): Promise<string[]> {
  // Loaded once for each document: to send and read the script takes longer than the rules themselves.
  if (!(await page.evaluate(() => 'axe' in window))) await page.evaluate(AXE);
  const options: RunOptions = {
    resultTypes: ['violations'],
    ...(looked === 'at colours'
      ? { runOnly: COLOUR_RULES }
      : { rules: Object.fromEntries(COLOUR_RULES.map((rule) => [rule, { enabled: false }])) }),
  };
  return (within ?? page.locator('html')).evaluate(async (part, asked) => {
    const { violations } = await (window as unknown as { axe: typeof axe }).axe.run(part, asked);
    return violations.flatMap(({ id, nodes }) =>
      nodes.map((node) => `${id}: ${node.target.join(' ')}: ${node.failureSummary}`),
    );
  }, options);
}

/**
 * Holds that axe finds nothing on the page, or in a part of it that the rest of the page does not depend on, and that
 * all of the page has enough contrast. Contrast is measured by our own check (contrast.ts), which is stricter than
 * that of axe and takes milliseconds. What is on its way may be pale meanwhile: the page as it comes to rest counts.
 */
export async function expectNoFault(page: Page, within?: Locator): Promise<void> {
  await expect.poll(() => faultsOfAxe(page, within, 'at all else')).toEqual([]);
  await expect.poll(() => faultsOfContrast(page)).toEqual([]);
}

/** Holds that axe too, which we did not write, finds no fault in the colours of the page. */
export async function expectColoursByAxe(page: Page, within?: Locator): Promise<void> {
  await expect.poll(() => faultsOfAxe(page, within, 'at colours')).toEqual([]);
}

/** Holds that the page is no wider than the screen. */
export async function expectNoSidewaysScroll(page: Page): Promise<void> {
  const beyond = () =>
    page.evaluate(() => {
      const { scrollWidth, clientWidth } = document.documentElement;
      return scrollWidth - clientWidth;
    });
  await expect.poll(beyond).toBeLessThanOrEqual(0);
}

/** Holds both in every look; `within` narrows what axe looks at, say to an open dialog. */
export async function expectSoundInEveryLook(page: Page, within?: Locator): Promise<void> {
  test.slow();
  for (const width of WIDTHS)
    for (const colorScheme of SCHEMES) {
      await page.setViewportSize({ width, height: 844 });
      await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });
      if (colorScheme === 'light') await expectNoFault(page, within);
      else await expect.poll(() => faultsOfContrast(page)).toEqual([]);
      if (width === WIDTHS[0]) await expectColoursByAxe(page, within);
      await expectNoSidewaysScroll(page);
    }
}
