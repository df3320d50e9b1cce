// What all components share: the workspace and the preferences on every page, the workbench of the
// open design where it is designed.
import { createContext } from 'svelte';
import type { Preferences } from '#state/preferences.svelte.ts';
import type { Workbench } from '#state/workbench.svelte.ts';
import type { Workspace } from '#state/workspace.svelte.ts';
import type { Desk } from './desk.svelte.ts';
import type { Dialogs } from './dialogs.svelte.ts';
import type { FigureSources } from './figure-sources.ts';

export const [getWorkspace, setWorkspace] = createContext<Workspace>();
export const [getPreferences, setPreferences] = createContext<Preferences>();
export const [getDesk, setDesk] = createContext<Desk>();
export const [getWorkbench, setWorkbench] = createContext<Workbench>();
export const [getDialogs, setDialogs] = createContext<Dialogs>();
export const [getFigureSources, setFigureSources] = createContext<FigureSources>();
