// A few bytes that run before the first paint, so that a chosen theme never flashes in the other, no
// button is pressed in vain and who has been here before is not told again how to begin.
// A file of its own, because the content security policy allows no unhashed inline script.
import { KEEP_PRESSES } from '#ui/shell/early-press.ts';
import { THEME_KEY, THEMES, USED_KEY } from '#state/workspace/preferences.svelte.ts';

export const prerender = true;

const script = `try{var t=localStorage.getItem(${JSON.stringify(THEME_KEY)});if(${JSON.stringify(THEMES)}.indexOf(t)>0)document.documentElement.dataset.theme=t;if(localStorage.getItem(${JSON.stringify(USED_KEY)}))document.documentElement.dataset.used=''}catch(e){}${KEEP_PRESSES}`;

export function GET(): Response {
  return new Response(script, { headers: { 'content-type': 'text/javascript' } });
}
