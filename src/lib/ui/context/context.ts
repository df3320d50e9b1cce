// What all components share: the workspace and the preferences on every page, the workbench of the
// open design where it is designed.
import { createContext } from 'svelte';
import type { Preferences } from '#state/workspace/preferences.svelte.ts';
import type { Workbench } from '#state/workbench/workbench.svelte.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import type { Handover } from './handover.svelte.ts';
import type { FigureSources } from './figure-sources.ts';

/** What can be opened over the page. */
export type DialogName =
  | 'keys'
  | 'start'
  | 'schedule'
  | 'rename'
  | 'share'
  | 'files'
  | 'sources'
  | 'freezer';

/** Opens one dialog at a time. Which component each of them is, the page's frame knows (`dialogs.svelte.ts`). */
export interface Dialogs {
  open(name: DialogName): Promise<void>;
  close(): void;
  /** Whether the last one asked for could not be loaded. */
  readonly missing: boolean;
}

export const [getWorkspace, setWorkspace] = createContext<Workspace>();
export const [getPreferences, setPreferences] = createContext<Preferences>();
export const [getHandover, setHandover] = createContext<Handover>();
export const [getWorkbench, setWorkbench] = createContext<Workbench>();
export const [getDialogs, setDialogs] = createContext<Dialogs>();
export const [getFigureSources, setFigureSources] = createContext<FigureSources>();
