// A button pressed while the page's scripts are still on their way: it is kept, and pressed once more for
// the person when the page listens. Of several presses the last counts.

interface Keeping {
  (e: Event): void;
  /** The button pressed last. */
  button?: HTMLButtonElement;
}
declare global {
  interface Window {
    earlyPress?: Keeping | undefined;
  }
}

/** Keeps presses; runs before the first paint, as text in a script of its own. */
export const KEEP_PRESSES =
  `addEventListener('click',window.earlyPress=function k(e){` +
  `var b=e.target.closest('button');if(b){e.preventDefault();k.button=b}},true)`;

/** Gives the press that was kept to the page, which listens from now on. */
export function answerEarlyPress(): void {
  const keeping = window.earlyPress;
  if (!keeping) return;
  removeEventListener('click', keeping, true);
  window.earlyPress = undefined;
  if (keeping.button?.isConnected) keeping.button.click();
}
