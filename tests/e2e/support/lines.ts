// How long lines of text are: at most 75 letters, so that the eye finds the next line. How large: four sizes, so that
// size has a meaning. And how far apart: in steps of 4 px, so that rows are aligned.
import type { Page } from '@playwright/test';

const LETTERS_MOST = 75;
/** px: notes, text, figures and titles, the head of a page. */
const SIZES: readonly number[] = [13, 16, 20, 34];
/** px: every space between things is a multiple of it. */
const STEP = 4;
/**
 * Properties that make space. An element that lies on top of others takes none: a handle is set on the middle of its
 * point.
 */
const ROOMS: readonly string[] = [
  ...['top', 'right', 'bottom', 'left'].flatMap((side) => [`padding-${side}`, `margin-${side}`]),
  'row-gap',
  'column-gap',
  'min-height',
];

/** Visible elements with a longer line, each with the number of letters of its longest. */
export function faultsOfLines(page: Page): Promise<string[]> {
  return page.evaluate((most) => {
    /** The pieces of text of one block, which follow each other on its lines. */
    const runs = new Map<Element, Text[]>();
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
      const text = texts.currentNode as Text;
      let block = text.parentElement!;
      if (text.data.trim() === '' || !block.checkVisibility()) continue;
      while (getComputedStyle(block).display === 'inline') block = block.parentElement!;
      runs.set(block, [...(runs.get(block) ?? []), text]);
    }
    const range = document.createRange();
    const longest = (run: readonly Text[]) => {
      const letters = new Map<number, number>();
      for (const text of run) {
        for (let i = 0; i < text.data.length; i += 1) {
          if (/^\s\s$/.test(text.data.slice(i - 1, i + 1))) continue;
          range.setStart(text, i);
          range.setEnd(text, i + 1);
          const [box] = range.getClientRects();
          if (!box || box.width === 0) continue;
          // Letters of two sizes on one line end within a few pixels of each other.
          const line = Math.round(box.bottom / 8);
          letters.set(line, (letters.get(line) ?? 0) + 1);
        }
      }
      return Math.max(...letters.values(), 0);
    };
    return [...runs].flatMap(([block, run]) => {
      const whole = run.reduce((sum, { data }) => sum + data.trim().length, 0);
      if (whole <= most) return [];
      const found = longest(run);
      const text = block.textContent.trim().replace(/\s+/g, ' ').slice(0, 60);
      return found > most ? [`${found} letters: ${block.tagName} "${text}"`] : [];
    });
  }, LETTERS_MOST);
}

/** Visible texts of another size than the four, one example for each size. Charts have sizes of their own. */
export function faultsOfSizes(page: Page): Promise<string[]> {
  return page.evaluate((sizes) => {
    const found = new Map<number, string>();
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (texts.nextNode()) {
      const text = texts.currentNode as Text;
      const of = text.parentElement!;
      if (text.data.trim() === '' || of.closest('svg, script, style') || !of.checkVisibility())
        continue;
      const size = parseFloat(getComputedStyle(of).fontSize);
      if (!sizes.includes(size)) found.set(size, text.data.trim().slice(0, 40));
    }
    return [...found].map(([size, words]) => `${size} px: "${words}"`);
  }, SIZES);
}

/**
 * Visible space that is no multiple of 4 px, of each kind of element once: what has the same name and classes in the
 * same kind of parent has the same space. Hairlines are 1 px, and space that is left over may have any size.
 */
export function faultsOfRhythm(page: Page): Promise<string[]> {
  return page.evaluate(
    ([step, rooms]) => {
      const kindOf = ({ tagName, className }: Element) => `${tagName}.${className}`;
      const seen = new Set<string>();
      const found = new Set<string>();
      for (const of of document.body.querySelectorAll('*:not(svg, svg *, script, style)')) {
        const kind = `${kindOf(of.parentElement!)} > ${kindOf(of)}`;
        if (seen.has(kind) || !of.checkVisibility()) continue;
        seen.add(kind);
        if (getComputedStyle(of).position === 'absolute') continue;
        const style = of.computedStyleMap();
        for (const room of rooms) {
          const given = style.get(room);
          // Not `auto`, `normal` or a share of the width.
          if (!(given instanceof CSSUnitValue) || given.unit !== 'px') continue;
          if (Math.abs(given.value) > 1 && given.value % step !== 0)
            found.add(`${room} ${given.value} px: ${kind}`);
        }
      }
      return [...found];
    },
    [STEP, ROOMS] as const,
  );
}
