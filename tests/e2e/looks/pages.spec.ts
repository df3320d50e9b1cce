// Every page at every width: axe finds nothing, lines have at most 75 letters in four sizes, room comes in
// steps of 4 px, text stands out 7 : 1 and marks of charts 3 : 1 in both themes, nothing overlaps, is cut off
// or runs out of the page, and fingers find what they press. Each page is loaded once, shown in each look.
import { PLACES } from '#ui/shell/places.ts';
import { faultsOfBoxes } from '../support/boxes.ts';
import { faultsOfContrast } from '../support/contrast.ts';
import { expect, softly, test } from '../support/journey.ts';
import { faultsOfLines, faultsOfRhythm, faultsOfSizes } from '../support/lines.ts';
import { expectColoursByAxe, expectNoFault } from '../support/looks.ts';
import { faultsOfPaper } from '../support/paper.ts';

/** 640 is a screen of 1280 px at 200 % zoom, 900 the narrowest with two columns. */
const WIDTHS = [320, 390, 640, 768, 900, 1280, 1600];
/** Where axe looks at colours too, which takes seconds; our own measure of them is taken at every width. */
const COLOURS_BY_AXE = 1280;
/** Where lines can be long. */
const ROOMY: readonly number[] = [768, 900, 1280, 1600];
const WITH_LARGE_LETTERS = [390, 768, 1280];
const PATHS = [...PLACES.map(({ path }) => path), '/hops/citra/', '/own/', '/404.html'];
/** Where a few rows hold every kind of cell; all rows take axe a minute. */
const NARROWED: Readonly<Record<string, readonly [label: string, words: string]>> = {
  '/hops/': ['Name or origin', 'CZ'],
  '/evidence/': ['Words of a row', 'linalool'],
  '/stock/': ['Search the stock', 'cit'],
};

for (const path of PATHS) {
  test(`${path} is sound at every width and in both themes`, async ({ page, workbench }) => {
    test.slow();
    await page.goto(path);
    await page.waitForLoadState('networkidle');
    if (path === '/') {
      await workbench.atWork();
      await workbench.settledBlend();
      await workbench.unfoldAll();
    }
    const narrowed = NARROWED[path];
    if (narrowed) await page.getByLabel(narrowed[0]).fill(narrowed[1]);
    await page.evaluate(() => {
      for (const fold of document.querySelectorAll('details')) fold.open = true;
      // Rows that are folded where the screen is narrow.
      for (const fold of document.querySelectorAll<HTMLElement>('th [aria-expanded="false"]'))
        fold.click();
    });
    for (const width of WIDTHS) {
      await page.setViewportSize({ width, height: 900 });
      const where = `${path} at ${width} px`;
      await expectNoFault(page);
      if (width === COLOURS_BY_AXE) await expectColoursByAxe(page);
      await softly.poll(() => faultsOfBoxes(page), where).toEqual([]);
      if (ROOMY.includes(width)) await softly.poll(() => faultsOfLines(page), where).toEqual([]);
      await softly.poll(() => faultsOfSizes(page), where).toEqual([]);
      await softly.poll(() => faultsOfRhythm(page), where).toEqual([]);
    }
    expect.soft(await faultsOfPaper(page), `${path} on paper`).toEqual([]);
    // What is pressed, on a screen for fingers.
    const screen = await page.context().newCDPSession(page);
    await page.setViewportSize({ width: 390, height: 844 });
    await screen.send('Emulation.setTouchEmulationEnabled', { enabled: true });
    expect(await page.evaluate(() => matchMedia('(pointer: coarse)').matches)).toBe(true);
    await softly.poll(() => faultsOfBoxes(page), `${path} by fingers`).toEqual([]);
    await screen.send('Emulation.setTouchEmulationEnabled', { enabled: false });
    await page.emulateMedia({ colorScheme: 'dark', reducedMotion: 'reduce' });
    for (const width of WIDTHS) {
      await page.setViewportSize({ width, height: 900 });
      await softly
        .poll(() => faultsOfContrast(page), `${path} in the dark at ${width} px`)
        .toEqual([]);
    }
    // Where a person sets the colours, only the place they are at has its line.
    await page.emulateMedia({ forcedColors: 'active' });
    const places = page.getByRole('navigation', { name: 'Places' }).getByRole('link');
    const isMarked = await places.evaluateAll((links) => {
      const probe = document.body.appendChild(document.createElement('i'));
      probe.style.color = 'Canvas';
      const paper = getComputedStyle(probe).color;
      probe.remove();
      return links.map((link) => [
        getComputedStyle(link).borderBottomColor !== paper,
        link.hasAttribute('aria-current'),
      ]);
    });
    for (const [marked, here] of isMarked) expect.soft(marked, `${path}, forced`).toBe(here);
    await page.emulateMedia({ forcedColors: 'none' });
    // Letters twice as large, set in the browser, as people who see badly do.
    for (const width of WITH_LARGE_LETTERS) {
      await page.setViewportSize({ width, height: 900 });
      await screen.send('Page.setFontSizes', { fontSizes: { standard: 32, fixed: 26 } });
      await expect(page.locator('html')).toHaveCSS('font-size', '32px');
      const where = `${path} with large letters at ${width} px`;
      await softly.poll(() => faultsOfBoxes(page), where).toEqual([]);
    }
  });
}
