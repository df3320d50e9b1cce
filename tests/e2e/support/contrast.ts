// How strongly text and the marks of charts stand out from what lies behind them, computed from what the
// browser draws: each colour painted on a canvas, each layer over the one below it. Contrast is that of
// WCAG 2.2, (L1 + 0.05) / (L2 + 0.05) of relative luminance.
import type { Page } from '@playwright/test';

const TEXT = 7;
const MARK = 3;

/**
 * Every text below 7 : 1 and every mark of a chart below 3 : 1 in words, the first few of each kind. Left
 * out is what cannot be used now, what is only decoration (`data-ground`: grids, grounds, tracks), and
 * words over a drawing, which have a halo of paper.
 */
export async function faultsOfContrast(page: Page): Promise<string[]> {
  return page.evaluate(
    ([text, mark]) => {
      type Rgba = readonly [number, number, number, number];
      const canvas = document.createElement('canvas');
      canvas.width = canvas.height = 1;
      const pen = canvas.getContext('2d', { willReadFrequently: true })!;
      const painted = new Map<string, Rgba>();
      const rgba = (colour: string): Rgba => {
        let known = painted.get(colour);
        if (!known) {
          pen.clearRect(0, 0, 1, 1);
          pen.fillStyle = colour;
          pen.fillRect(0, 0, 1, 1);
          const [r, g, b, a] = pen.getImageData(0, 0, 1, 1).data;
          known = [r!, g!, b!, a! / 255];
          painted.set(colour, known);
        }
        return known;
      };
      const over = (top: Rgba, share: number, below: Rgba): Rgba => {
        const a = top[3] * share;
        const mix = (i: 0 | 1 | 2) => top[i] * a + below[i] * (1 - a);
        return [mix(0), mix(1), mix(2), 1];
      };
      const luminance = ([r, g, b]: Rgba) => {
        const linear = (c: number) =>
          c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4;
        return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
      };
      const contrast = (a: Rgba, b: Rgba) => {
        const [dark, light] = [luminance(a), luminance(b)].sort((x, y) => x - y);
        return (light! + 0.05) / (dark! + 0.05);
      };
      const styles = new Map<Element, CSSStyleDeclaration>();
      const styleOf = (element: Element) => {
        const known = styles.get(element) ?? getComputedStyle(element);
        styles.set(element, known);
        return known;
      };
      const paper = rgba(styleOf(document.documentElement).backgroundColor);
      const grounds = new Map<Element, Rgba>();
      /** What lies behind the content of an element. */
      const groundOf = (element: Element | null): Rgba => {
        if (element === null) return paper;
        let ground = grounds.get(element);
        if (!ground) {
          const own = rgba(styleOf(element).backgroundColor);
          ground =
            own[3] === 0
              ? groundOf(element.parentElement)
              : over(own, 1, groundOf(element.parentElement));
          grounds.set(element, ground);
        }
        return ground;
      };
      const shown = (element: Element) => {
        let share = 1;
        for (let e: Element | null = element; e; e = e.parentElement)
          share *= Number(styleOf(e).opacity);
        return share;
      };
      const isOut = (element: Element) =>
        !element.checkVisibility({ visibilityProperty: true, contentVisibilityAuto: true }) ||
        element.closest(
          ':disabled, [inert], [aria-disabled="true"], [data-ground], defs, clipPath, mask',
        ) !== null;
      const faults: Record<string, Set<string>> = {};
      const fault = (kind: string, what: string) => (faults[kind] ??= new Set()).add(what);
      const described = (element: Element) => {
        const chain = [element, element.parentElement!, element.parentElement!.parentElement!];
        return chain
          .map((e) => {
            const classes = (e.getAttribute('class') ?? '').replace(/\s?(svelte-)\w+/g, '');
            return (
              e.tagName.toLowerCase() +
              (classes.trim() && `.${classes.trim().replaceAll(' ', '.')}`)
            );
          })
          .reverse()
          .join(' > ');
      };

      const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
      while (walker.nextNode()) {
        const of = walker.currentNode.parentElement!;
        if (
          walker.currentNode.textContent!.trim() === '' ||
          of.closest('script, style, noscript, option')
        )
          continue;
        if (isOut(of) || styleOf(of).clipPath.startsWith('inset')) continue;
        const { color, fill } = styleOf(of);
        const ground = groundOf(of);
        const ink = rgba(of instanceof SVGElement ? fill : color);
        const seen = contrast(over(ink, shown(of), ground), ground);
        if (seen < text)
          fault(
            'text',
            `${described(of)} “${of.textContent!.trim().slice(0, 24)}” ${seen.toFixed(1)}`,
          );
      }

      /**
       * What a mark is drawn on: a filled mark drawn before it that encloses it, as a knob encloses its grip, else
       * the page.
       */
      const behind = (of: Element, box: DOMRect): Rgba => {
        const page = groundOf(of.closest('svg'));
        for (let e = of.previousElementSibling; e; e = e.previousElementSibling) {
          const { fill, fillOpacity } = styleOf(e);
          if (
            !e.matches('path, rect, circle, polygon') ||
            fill.startsWith('url') ||
            rgbaIsClear(fill)
          )
            continue;
          const around = e.getBoundingClientRect();
          const across = around.left <= box.left + 1 && around.right >= box.right - 1;
          const down = around.top <= box.top + 1 && around.bottom >= box.bottom - 1;
          if (across && down) return over(rgba(fill), Number(fillOpacity), page);
        }
        return page;
      };
      for (const of of document.querySelectorAll(
        'svg :is(path, rect, circle, line, polygon, polyline)',
      )) {
        if (isOut(of)) continue;
        const box = of.getBoundingClientRect();
        if (box.width < 1 && box.height < 1) continue;
        const style = styleOf(of);
        const ground = behind(of, box);
        const seen = (paint: string, opacity: string) => {
          // A pattern or a gradient is judged by the colours it is made of.
          const id = /url\("?#([^")]+)/.exec(paint)?.[1];
          const parts = id
            ? [...document.querySelectorAll(`[id="${id}"] *`)].flatMap((part) => {
                const { fill, stroke, stopColor } = styleOf(part);
                return part.tagName === 'stop' ? [stopColor] : [fill, stroke];
              })
            : [paint];
          const share = Number(opacity) * shown(of);
          return Math.max(
            1,
            ...parts
              .filter((colour) => colour !== 'none' && !colour.startsWith('url'))
              .map((colour) => contrast(over(rgba(colour), share, ground), ground)),
          );
        };
        if (style.fill === 'none' && style.stroke === 'none') continue;
        if (rgbaIsClear(style.fill) && rgbaIsClear(style.stroke)) continue;
        const best = Math.max(
          seen(style.fill, style.fillOpacity),
          style.strokeWidth === '0px' ? 1 : seen(style.stroke, style.strokeOpacity),
        );
        if (best < mark) fault('mark', `${described(of)} ${best.toFixed(1)}`);
      }
      function rgbaIsClear(paint: string): boolean {
        return paint === 'none' || (!paint.startsWith('url') && rgba(paint)[3] === 0);
      }
      return Object.entries(faults).flatMap(([kind, all]) => {
        const more = all.size > 12 ? [`${kind}: ${all.size - 12} more`] : [];
        return [...[...all].slice(0, 12).map((what) => `${kind}: ${what}`), ...more];
      });
    },
    [TEXT, MARK] as const,
  );
}
