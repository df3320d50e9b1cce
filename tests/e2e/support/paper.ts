// How many sheets of paper a page takes.
import type { Page } from '@playwright/test';

/** Sheets of A4 the page is printed on, in the size and margins its style sheet names. */
export async function sheetsOf(page: Page): Promise<number> {
  const pdf = await page.pdf({ format: 'A4', preferCSSPageSize: true });
  return pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g)?.length ?? 0;
}
