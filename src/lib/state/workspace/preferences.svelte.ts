// How one person likes to read: units, theme, and whether they know the way. Small, kept beside the documents in local storage,
// heard from other tabs, and harmless where storage is blocked.
import { UNIT_SYSTEMS, type UnitSystem } from '#shared/units.ts';

export const THEMES = ['system', 'light', 'dark'] as const;
export type Theme = (typeof THEMES)[number];

const UNITS_KEY = 'blendbine.units';
export const THEME_KEY = 'blendbine.theme';
export const USED_KEY = 'blendbine.used';

function kept<T extends string>(key: string, allowed: readonly T[]): T | null {
  try {
    const text = localStorage.getItem(key);
    return allowed.find((a) => a === text) ?? null;
  } catch {
    return null;
  }
}

function keep(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // Where storage is blocked, the choice holds until the page is left.
  }
}

export class Preferences {
  #units = $state<UnitSystem>('metric');
  #theme = $state<Theme>('system');

  get units(): UnitSystem {
    return this.#units;
  }
  set units(units: UnitSystem) {
    this.#units = units;
    keep(UNITS_KEY, units);
  }

  get theme(): Theme {
    return this.#theme;
  }
  set theme(theme: Theme) {
    this.#theme = theme;
    keep(THEME_KEY, theme);
    this.#show();
  }

  /** Records that the person has used the page: at later visits the page does not explain how to begin. */
  noteUse(): void {
    keep(USED_KEY, 'yes');
  }

  /** Reads what was kept and follows other tabs; returns a function that stops following. */
  follow(): () => void {
    const read = () => {
      this.#units = kept(UNITS_KEY, UNIT_SYSTEMS) ?? 'metric';
      this.#theme = kept(THEME_KEY, THEMES) ?? 'system';
      this.#show();
    };
    read();
    window.addEventListener('storage', read);
    return () => window.removeEventListener('storage', read);
  }

  #show(): void {
    document.documentElement.dataset['theme'] = this.#theme;
  }
}
