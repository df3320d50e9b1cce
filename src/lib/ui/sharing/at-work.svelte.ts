// The sharing of this page: one for all its parts, begun where this browser is a member or becomes one.
import type { FreezerKey } from '#shared/freezer-terms.ts';
import { Sharing, type SharingState } from '#sharing/sharing.ts';
import type { Workspace } from '#state/workspace/workspace.svelte.ts';
import { partsOf } from '#storage/entries.ts';

class SharingAtWork {
  #state = $state.raw<SharingState | null>(null);
  #sharing: Sharing | null = null;

  /** `null` until it was asked how it stands. */
  get state(): SharingState | null {
    return this.#state;
  }

  async begin({ starter }: Workspace): Promise<void> {
    this.#sharing ??= new Sharing(partsOf(starter), (state) => (this.#state = state));
    await this.#sharing.open();
  }

  async join(key: FreezerKey, name: string): Promise<void> {
    await this.#sharing?.join(key, name);
  }

  async leave(): Promise<void> {
    await this.#sharing?.leave();
  }
}

export const sharing = new SharingAtWork();
