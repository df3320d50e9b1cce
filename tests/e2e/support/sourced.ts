// Whether every number on a page says where it is from: its element, or one around it, carries ids of
// provenance, and each of them stands for something.
import { expect, type Page } from '@playwright/test';
import { resolveProvenance } from '#engine/evidence/provenance.ts';
import { model } from '#engine/tables/model.ts';
import { analyteName, compoundName, compoundSign } from '#engine/tables/names.ts';
import { ANALYTES, COMPOUNDS } from '#shared/ids.ts';
import { FORM_NAMES } from '#shared/words.ts';

/** Texts with digits that are no figures, by where they stand. */
const LABELS = [
  'script, style, noscript',
  'input, textarea, option', // what somebody fills in
  'label', // of a field
  'svg text, svg title', // of a drawing: the table under it carries the same figures
  'thead th', // units and names of columns
  'time', // which day it is
].join(', ');

/** Names with digits in them, the longest first. */
const NAMES = [
  ...model.hops.map(({ name }) => name),
  ...COMPOUNDS.flatMap((c) => [compoundName(c), compoundSign(c)]),
  ...ANALYTES.map(analyteName),
  ...Object.values(FORM_NAMES),
  ...Object.values(model.parameters).map(({ label }) => label),
]
  .filter((name) => /\d/.test(name))
  .sort((a, b) => b.length - a.length);

/** Checks every text of the page as it is, and the ids that its elements carry. */
export async function expectSourced(page: Page): Promise<void> {
  const { bare, ids } = await page.evaluate(
    ([labels, names]) => {
      const bare: string[] = [];
      const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      while (texts.nextNode()) {
        const text = texts.currentNode as Text;
        const around = text.parentElement!;
        if (!/\d/.test(text.data) || around.closest(labels)) continue;
        if (around.closest('[data-from]')) continue;
        let rest = text.data;
        for (const name of names) rest = rest.replaceAll(name, '');
        if (/\d/.test(rest))
          bare.push(`${around.tagName} ${around.className}: ${text.data.trim()}`);
      }
      const carriers = [...document.querySelectorAll('[data-from]')];
      const ids = new Set(carriers.flatMap((c) => c.getAttribute('data-from')!.split(' ')));
      return { bare, ids: [...ids] };
    },
    [LABELS, NAMES] as const,
  );
  expect(bare).toEqual([]);
  expect(ids.length).toBeGreaterThan(0);
  expect(ids.filter((id) => !resolveProvenance(id).ok)).toEqual([]);
}
