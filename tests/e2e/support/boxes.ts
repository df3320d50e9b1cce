// Faults of where things stand on a page as it is drawn: out of the page, cut off, on top of each other, or too small
// for a finger. Measured on the drawn page, not on the style sheet.
import type { Page } from '@playwright/test';

/** Least width and height of what a finger presses, px. */
const FINGER = 44;

/**
 * Every fault in words, the first few of each kind; empty where all is well.
 * @param within what is looked at: the page, or a dialog by itself.
 */
export async function faultsOfBoxes(page: Page, within = 'body'): Promise<string[]> {
  return page.evaluate(
    ([within, finger]) => {
      const CONTROLS = 'a[href], button, input, select, textarea, summary, [role="slider"]';
      const FIGURE = /\d\s(%|°|g|kg|oz|lb|L|gal|IBU|vol|h|min|mg|times)(?![\w])/g;
      const touch = matchMedia('(pointer: coarse)').matches;
      const root = document.querySelector(within)!;
      const frame = root === document.body ? document.documentElement : root;
      const left = frame.getBoundingClientRect().left + frame.clientLeft;
      const right = left + frame.clientWidth;
      const faults: Record<string, string[]> = {};
      const fault = (kind: string, what: string) => (faults[kind] ??= []).push(what);
      const described = (element: Element) => {
        const words = element.getAttribute('aria-label') ?? element.textContent;
        return `${element.tagName.toLowerCase()} “${words.trim().replace(/\s+/g, ' ').slice(0, 40)}”`;
      };

      /** The elements around an element, from itself outwards up to the part that is looked at. */
      const around = (element: Element) => {
        const chain: Element[] = [];
        for (let e: Element | null = element; e && e !== root; e = e.parentElement) chain.push(e);
        return chain;
      };
      const styles = new Map<Element, CSSStyleDeclaration>();
      const styleOf = (element: Element) => {
        const known = styles.get(element) ?? getComputedStyle(element);
        styles.set(element, known);
        return known;
      };
      const isHidden = (element: Element) =>
        !element.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true }) ||
        around(element).some((e) => styleOf(e).clipPath.startsWith('inset'));
      /**
       * Whether an element scrolls by itself or floats above the page: it does not belong to the layout of the page.
       */
      const isApart = (element: Element) =>
        around(element).some((e) => {
          const { position, overflowX, overflowY } = styleOf(e);
          const scrolls = /auto|scroll/.test(overflowX + overflowY);
          return scrolls || position === 'fixed' || position === 'sticky';
        });

      interface Box {
        readonly of: Element;
        readonly left: number;
        readonly right: number;
        readonly top: number;
        readonly bottom: number;
      }
      const boxOf = (of: Element, { left, right, top, bottom }: DOMRect): Box => {
        return { of, left, right, top, bottom };
      };
      const texts: Box[] = [];
      const walker = document.createTreeWalker(root, NodeFilter.SHOW_TEXT);
      while (walker.nextNode()) {
        const text = walker.currentNode as Text;
        const of = text.parentElement!;
        if (text.data.trim() === '' || of.closest('script, style, noscript, svg, option')) continue;
        if (isHidden(of) || isApart(of)) continue;
        const range = document.createRange();
        range.selectNodeContents(text);
        for (const rect of range.getClientRects()) if (rect.width > 1) texts.push(boxOf(of, rect));
        // What a published table says is quoted as it is.
        if (of.closest('[data-from^="experiment/"]')) continue;
        for (const { index, 0: figure } of text.data.matchAll(FIGURE)) {
          range.setStart(text, index);
          range.setEnd(text, index + figure.length);
          const [first, ...more] = range.getClientRects();
          if (first && more.some(({ top }) => top > first.top + 3))
            fault('is parted from its unit', described(of));
        }
      }
      const controls = [...root.querySelectorAll(CONTROLS)]
        .filter((of) => !of.closest('svg') && !isHidden(of))
        .map((of) => boxOf(of, of.getBoundingClientRect()))
        .filter(({ left, right }) => right > left);
      const own = controls.filter(({ of }) => !isApart(of));

      const content = within === 'body' ? document.querySelector('#content') : null;
      const inner = content?.getBoundingClientRect();
      const drawn = [...(content?.querySelectorAll('svg text') ?? [])]
        .filter((of) => !isHidden(of) && !isApart(of))
        .map((of) => boxOf(of, of.getBoundingClientRect()));
      for (const { of, left, right } of inner ? [...texts, ...drawn] : []) {
        const isOut = left < inner!.left - 1 || right > inner!.right + 1;
        if (content!.contains(of) && isOut) fault('runs into the margin', described(of));
      }
      if (frame.scrollWidth > frame.clientWidth) {
        fault(`${within} scrolls sideways`, `${frame.scrollWidth} px`);
      }
      for (const box of [...texts, ...own]) {
        const isOut = box.left < left - 1 || box.right > right + 1;
        if (isOut) fault(`runs out of ${within}`, described(box.of));
      }
      for (const of of root.querySelectorAll('*')) {
        const { overflowX, textOverflow, webkitLineClamp } = styleOf(of);
        if (webkitLineClamp !== 'none' && of.scrollHeight > of.clientHeight + 1 && !isHidden(of))
          fault('is cut off', described(of));
        if (!/hidden|clip/.test(overflowX) || textOverflow === 'ellipsis' || isHidden(of)) continue;
        // The text of a field can be longer than the field and scrolls inside it.
        if (of.closest('svg, input') || of.scrollWidth <= of.clientWidth + 1) continue;
        fault('is cut off', described(of));
      }

      /** Pairs that overlap by more than a hair, neither inside the other. */
      const overlaps = (boxes: readonly Box[]) => {
        const sorted = [...boxes].sort((a, b) => a.top - b.top);
        sorted.forEach((a, i) => {
          for (let j = i + 1; j < sorted.length && sorted[j]!.top < a.bottom - 3; j += 1) {
            const b = sorted[j]!;
            const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
            const down = Math.min(a.bottom, b.bottom) - b.top;
            if (across <= 2 || down <= 3 || a.of.contains(b.of) || b.of.contains(a.of)) continue;
            fault('stand on each other', `${described(a.of)} and ${described(b.of)}`);
          }
        });
      };
      // Boxes of lines of one text overlap where their letters do not.
      overlaps(texts.map((box) => ({ ...box, top: box.top + 3, bottom: box.bottom - 3 })));
      overlaps(own);

      // Figures of a column stand with their points, or their last whole digits, below each other.
      for (const table of root.querySelectorAll('table')) {
        const points = new Map<number, number>();
        for (const cell of table.querySelectorAll<HTMLTableCellElement>('tbody td.number')) {
          const text = cell.querySelector('span')?.firstChild;
          const whole = /^[\d,]+(?=\.\d+$|$)/.exec(text?.nodeValue ?? '')?.[0];
          if (!text || whole === undefined || isHidden(cell)) continue;
          const range = document.createRange();
          range.setStart(text, whole.length - 1);
          range.setEnd(text, whole.length);
          const point = range.getBoundingClientRect().right;
          const first = points.get(cell.cellIndex) ?? point;
          points.set(cell.cellIndex, first);
          if (Math.abs(point - first) > 1) fault('is out of line in its column', described(cell));
        }
      }

      if (touch) {
        for (const { of } of controls) {
          // A link in running text is as high as its line; a checkbox is pressed by its label.
          if (of.tagName === 'A' && styleOf(of).display === 'inline') continue;
          const labelled = of.matches('[type="checkbox"], [type="radio"]') && of.closest('label');
          const { width, height } = (labelled || of).getBoundingClientRect();
          if (height >= finger - 0.5 && width >= finger - 0.5) continue;
          fault(
            'is too small for a finger',
            `${described(of)} ${width.toFixed(0)} × ${height.toFixed(0)}`,
          );
        }
      }
      return Object.entries(faults).flatMap(([kind, all]) => {
        const different = [...new Set(all)];
        const more = different.length > 8 ? [`${kind}: ${different.length - 8} more`] : [];
        return [...different.slice(0, 8).map((what) => `${kind}: ${what}`), ...more];
      });
    },
    [within, FINGER] as const,
  );
}
