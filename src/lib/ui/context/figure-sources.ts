// From a figure on the page to where it is from. Whatever shows a figure carries `data-from` with its ids
// of provenance; `data-of` around it names what it was worked out from. A click on it, `Enter` on the
// table it stands in, or the button Sources of its panel asks for the dialog that tells.
import type { Brief } from '#shared/schemas/brief.ts';
import type { Addition } from '#shared/schemas/lot.ts';
import { scheduleFor } from '#state/documents/documents.ts';
import type { FigureScope } from '#state/reference/figure-evidence.ts';

/** What does something else when it is pressed. */
const INTERACTIVE = 'a, button, input, select, textarea, summary, label, dialog, [role="slider"]';
const PANEL = 'section, [data-panel], main';

/** A design that figures were worked out from; `null` where there is none. */
export function designScope(
  brief: Brief,
  additions: readonly Addition[] | undefined,
): FigureScope | null {
  return additions ? { kind: 'design', schedule: scheduleFor(brief, additions) } : null;
}

export class FigureSources {
  readonly #scopes = new Map<string, (index: number) => FigureScope | null>();
  readonly #open: () => void;
  /** The part of the page whose figures are asked for, and the one to begin with. */
  asked: { readonly panel: Element; readonly figure: Element | null } | null = null;

  /** @param open shows the dialog for what is `asked`. */
  constructor(open: () => void) {
    this.#open = open;
  }

  /**
   * Says what the figures under `data-of` were worked out from, asked anew each time: `key`, or `key/2`
   * for the third of several.
   */
  provide(key: string, of: (index: number) => FigureScope | null): void {
    this.#scopes.set(key, of);
  }

  /** What a value of `data-of` stands for. */
  scopeOf(of: string): FigureScope | null {
    const [key = '', index] = of.split('/');
    return this.#scopes.get(key)?.(Number(index)) ?? null;
  }

  clicked({ target }: Event): void {
    if (!(target instanceof Element)) return;
    const figure = target.closest('[data-from]');
    // Somebody who marks text to copy it asks for nothing; a row of the evidence is where one arrives.
    const plain =
      figure &&
      figure.id !== figure.getAttribute('data-from') &&
      getSelection()?.isCollapsed !== false &&
      !target.closest(INTERACTIVE);
    if (plain) this.#ask(figure.closest(PANEL)!, figure);
    else if (target.matches('[data-sources]')) this.#ask(target.closest(PANEL)!, null);
  }

  pressed({ key, target }: KeyboardEvent): void {
    const region = key === 'Enter' && target instanceof Element ? target : null;
    if (!region?.matches('[role="region"][tabindex="0"]')) return;
    if (region.querySelector('[data-from]')) this.#ask(region, null);
  }

  #ask(panel: Element, figure: Element | null): void {
    this.asked = { panel, figure };
    this.#open();
  }
}
