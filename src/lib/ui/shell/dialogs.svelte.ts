// The dialogs of the page, one at a time, each loaded when it is first asked for.
import type { Component } from 'svelte';
import type { DialogName, Dialogs } from '#ui/context/context.ts';

type DialogComponent = Component<{ onclose: () => void }>;

const LOADERS: Readonly<Record<DialogName, () => Promise<{ default: DialogComponent }>>> = {
  keys: () => import('./KeysDialog.svelte'),
  start: () => import('#ui/documents/StartDialog.svelte'),
  schedule: () => import('#ui/documents/ScheduleDialog.svelte'),
  rename: () => import('#ui/brief/RenameDialog.svelte'),
  share: () => import('#ui/documents/ShareDialog.svelte'),
  files: () => import('#ui/documents/FilesDialog.svelte'),
  sources: () => import('#ui/evidence/SourcesDialog.svelte'),
};

export class LoadedDialogs implements Dialogs {
  #shown = $state.raw<DialogComponent | null>(null);
  #missing = $state(false);

  /** The open one, for the frame to draw. */
  get shown(): DialogComponent | null {
    return this.#shown;
  }
  get missing(): boolean {
    return this.#missing;
  }

  async open(name: DialogName): Promise<void> {
    this.#missing = false;
    try {
      this.#shown = (await LOADERS[name]()).default;
    } catch {
      this.#missing = true;
    }
  }

  close(): void {
    this.#shown = null;
    this.#missing = false;
  }
}
