// The one workbench and the one set of preferences, for the components of the page.
import { createContext } from 'svelte';
import type { Preferences } from '#state/preferences.svelte.ts';
import type { Workbench } from '#state/workbench.svelte.ts';

export const [getWorkbench, setWorkbench] = createContext<Workbench>();
export const [getPreferences, setPreferences] = createContext<Preferences>();
