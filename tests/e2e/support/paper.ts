// What a page is on paper: how many sheets it takes, and that it asks nobody to press anything.
import type { Page } from '@playwright/test';

/** Sheets of A4 the page is printed on, in the size and margins its style sheet names. */
export async function sheetsOf(page: Page): Promise<number> {
  const pdf = await page.pdf({ format: 'A4', preferCSSPageSize: true });
  return pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g)?.length ?? 0;
}

/** What is drawn on paper though it can only be pressed, and names of columns that a browser does not repeat. */
export async function faultsOfPaper(page: Page): Promise<string[]> {
  await page.emulateMedia({ media: 'print' });
  const faults = await page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>('button, input[type="file"]')].flatMap((of) => {
      const { display } = getComputedStyle(of);
      // On the second sheet the head of a table stands without the boxes of its buttons.
      const isFault = of.closest('thead') ? display !== 'contents' : of.checkVisibility();
      return isFault ? [`on paper: ${of.textContent.trim()}`] : [];
    }),
  );
  await page.emulateMedia({ media: 'screen' });
  return faults;
}
