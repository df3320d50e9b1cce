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
  freezer: () => import('#ui/sharing/SharingDialog.svelte'),
  sources: () => import('#ui/evidence/SourcesDialog.svelte'),
};

/** One opening of a dialog; the same dialog opened again is another one. */
interface Opened {
  readonly View: DialogComponent;
}

export class LoadedDialogs implements Dialogs {
  #shown = $state.raw<Opened | null>(null);
  #missing = $state(false);

  /** The open one, for the frame to draw. */
  get shown(): Opened | null {
    return this.#shown;
  }
  get missing(): boolean {
    return this.#missing;
  }

  async open(name: DialogName): Promise<void> {
    this.#missing = false;
    try {
      this.#shown = { View: (await LOADERS[name]()).default };
    } catch {
      this.#missing = true;
    }
  }

  /** @param opened the one that was left, which another may have replaced by then. */
  left(opened: Opened): void {
    if (this.#shown === opened) this.close();
  }

  close(): void {
    this.#shown = null;
    this.#missing = false;
  }
}
