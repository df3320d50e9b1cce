// The dialogs of the page, one at a time, each loaded when it is first asked for.
import type { Component } from 'svelte';

const LOADERS = {
  keys: () => import('./KeysDialog.svelte'),
  start: () => import('./StartDialog.svelte'),
  schedule: () => import('./ScheduleDialog.svelte'),
  rename: () => import('./RenameDialog.svelte'),
  share: () => import('./ShareDialog.svelte'),
  files: () => import('./FilesDialog.svelte'),
  sources: () => import('./SourcesDialog.svelte'),
};
type DialogName = keyof typeof LOADERS;

export class Dialogs {
  #shown = $state.raw<Component<{ onclose: () => void }> | null>(null);
  #missing = $state(false);

  get shown(): Component<{ onclose: () => void }> | null {
    return this.#shown;
  }
  /** Whether the last one asked for could not be loaded. */
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
