// From a figure on the page to where it is from. Whatever shows a figure carries `data-from` with its ids
// of provenance; `data-of` around it names what it was worked out from. A click on it, `Enter` on the
// table it stands in, or the button Sources of its panel asks for the dialog that tells.
import type { FigureScope } from '#state/figure-evidence.ts';

/** A figure as the page shows it. */
export interface AskedFigure {
  readonly ids: readonly string[];
  readonly text: string;
  readonly scope: FigureScope | null;
}

export interface Asked {
  /** All of one panel, so that one can go on from figure to figure. */
  readonly figures: readonly AskedFigure[];
  readonly chosen: number;
}

/** What does something else when it is pressed. */
const INTERACTIVE = 'a, button, input, select, textarea, summary, label, dialog, [role="slider"]';
const PANEL = 'section, [data-panel], main';

export class FigureSources {
  readonly #scopes = new Map<string, () => FigureScope | null>();
  readonly #open: () => void;
  asked: Asked = { figures: [], chosen: 0 };

  /** @param open shows the dialog for what is `asked`. */
  constructor(open: () => void) {
    this.#open = open;
  }

  /** Says what the figures under `data-of={key}` were worked out from, asked anew each time. */
  provide(key: string, of: () => FigureScope | null): void {
    this.#scopes.set(key, of);
  }

  clicked({ target }: Event): void {
    if (!(target instanceof Element)) return;
    const button = target.closest('[data-sources]');
    if (button) this.#ask(button.closest(PANEL)!, null);
    const figure = target.closest('[data-from]');
    // Somebody who marks text to copy it asks for nothing.
    const marking = getSelection()?.isCollapsed === false;
    if (!figure || marking || target.closest(INTERACTIVE)) return;
    this.#ask(figure.closest(PANEL)!, figure);
  }

  pressed({ key, target }: KeyboardEvent): void {
    if (key !== 'Enter' || !(target instanceof Element)) return;
    if (target.matches('[role="region"][tabindex="0"]')) this.#ask(target, null);
  }

  #ask(panel: Element, chosen: Element | null): void {
    const figures = new Map<string, { element: Element; of: string }>();
    const add = (element: Element) => {
      const of = element.closest('[data-of]')?.getAttribute('data-of') ?? '';
      const key = `${element.getAttribute('data-from')} ${of}`;
      if (!figures.has(key) || element === chosen) figures.set(key, { element, of });
    };
    panel.querySelectorAll('[data-from]').forEach(add);
    if (figures.size === 0) return;
    const all = [...figures.values()];
    this.asked = {
      figures: all.map(({ element, of }) => ({
        ids: element.getAttribute('data-from')!.split(' '),
        text: element.textContent.trim().replaceAll(/\s+/g, ' '),
        scope: this.#scopes.get(of)?.() ?? null,
      })),
      chosen: Math.max(
        0,
        all.findIndex(({ element }) => element === chosen),
      ),
    };
    this.#open();
  }
}
