// What a person does in a part of a page before its scripts have started it, the whole page first of all: it is kept,
// and done once more for the person when the part listens. What a browser restores by itself is not kept: it may be of
// another state of the page, and it comes without an event.

type FormField = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

/** To be called right before a part starts; does for the person what was kept when the part has started. */
export type Early = () => () => void;

declare global {
  interface Window {
    keepEarly?: typeof keepEarly;
    /** What is done in the whole page, until it starts. */
    early?: Early | undefined;
  }
}

/**
 * Keeps what a person does in a part that has not started: what they fold, fill in, select and tick, and of the buttons
 * pressed the last. It is sent as the text of `EARLY_SCRIPT`, so it may name nothing outside itself.
 */
function keepEarly(part: Document | Element): Early {
  /** Fields filled in, and whether they were left after it. */
  const filled = new Map<FormField, boolean>();
  let pressed: HTMLButtonElement | null = null;
  const keep = (event: Event): void => {
    if (event.type !== 'click') {
      filled.set(event.target as FormField, event.type === 'change');
      return;
    }
    const button = (event.target as Element).closest('button');
    if (!button) return;
    event.preventDefault();
    pressed = button;
  };
  const events = ['input', 'change', 'click'];
  for (const type of events) part.addEventListener(type, keep, true);

  /** Puts back what was filled in, and tells those who listen now. */
  function fill(field: FormField, value: string, checked: boolean, isLeft: boolean): void {
    const tell = (type: string) => field.dispatchEvent(new Event(type, { bubbles: true }));
    const leave = () => tell('change');
    if (field.value !== value) field.value = value;
    if ('checked' in field) field.checked = checked;
    tell('input');
    // The browser may say nothing when a field is left whose value was put back.
    if (!isLeft) field.addEventListener('blur', leave, { once: true });
    field.addEventListener('change', () => field.removeEventListener('blur', leave), {
      once: true,
    });
    if (isLeft) leave();
  }
  /** Whether it holds what its HTML said, as a choice that was taken back does. */
  function isAsSent(field: FormField): boolean {
    if ('selectedOptions' in field) return field.selectedOptions[0]?.defaultSelected ?? true;
    if (field.type === 'checkbox' || field.type === 'radio')
      return (field as HTMLInputElement).checked === (field as HTMLInputElement).defaultChecked;
    return field.value === field.defaultValue;
  }

  return () => {
    for (const type of events) part.removeEventListener(type, keep, true);
    const folds = [...part.querySelectorAll('details')].map((fold) => [fold, fold.open] as const);
    const fields = [...filled]
      .filter(([field]) => !isAsSent(field))
      .map(
        ([field, left]) => [field, field.value, 'checked' in field && field.checked, left] as const,
      );
    return () => {
      for (const [fold, open] of folds) fold.open = open;
      for (const kept of fields) fill(...kept);
      if (pressed?.isConnected) pressed.click();
    };
  };
}

/** Runs before the first paint, and brings what parts that start later need, too. */
export const EARLY_SCRIPT = `window.early=(window.keepEarly=${String(keepEarly)})(document);`;
