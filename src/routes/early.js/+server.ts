// A short script that runs before the first paint: it sets a chosen theme, so that the page does not flash in the
// other one, keeps what a person does until the scripts have come, and hides the introduction from people who have been
// here before. A file of its own, because the content policy allows no inline script without its hash.
import { EARLY_SCRIPT } from '#ui/starting/early.ts';
import { THEME_KEY, THEMES, USED_KEY } from '#state/workspace/preferences.svelte.ts';

export const prerender = true;

const script = `try{var t=localStorage.getItem(${JSON.stringify(THEME_KEY)});if(${JSON.stringify(THEMES)}.indexOf(t)>0)document.documentElement.dataset.theme=t;if(localStorage.getItem(${JSON.stringify(USED_KEY)}))document.documentElement.dataset.used=''}catch(e){}${EARLY_SCRIPT}`;

export function GET(): Response {
  return new Response(script, { headers: { 'content-type': 'text/javascript' } });
}
