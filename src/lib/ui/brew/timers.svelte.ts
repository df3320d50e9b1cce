// Clocks of the brew day. What is kept is when each ends, not what remains: a locked screen, a reload or a
// closed page takes nothing from it.
const KEY = 'blendbine.timers';
const TICK_MS = 250;
/** A clock that has ended so long ago is forgotten. */
const FORGET_MS = 12 * 3_600_000;

export interface Timer {
  /** The batch and the step. */
  readonly key: string;
  readonly title: string;
  /** Milliseconds since 1970. */
  readonly ends: number;
}

function keptTimers(): Timer[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? '[]');
    if (!Array.isArray(kept)) return [];
    return kept.filter(
      (t: Partial<Timer> | null): t is Timer =>
        typeof t?.key === 'string' && typeof t.title === 'string' && Number.isFinite(t.ends),
    );
  } catch {
    return [];
  }
}

/** A tone that is heard over a burner; nothing where the browser gives no sound. */
function sound(): void {
  try {
    const { navigator } = globalThis as { navigator: Partial<Navigator> };
    navigator.vibrate?.([400, 200, 400]);
    const audio = new AudioContext();
    const tone = audio.createOscillator();
    tone.frequency.value = 880;
    tone.connect(audio.destination);
    tone.start();
    tone.stop(audio.currentTime + 1.2);
    tone.onended = () => void audio.close();
  } catch {
    // The words on the screen say it as well.
  }
}

export class Timers {
  #all = $state.raw<readonly Timer[]>([]);
  #now = $state(0);

  /** Reads what is kept, follows the clock and other tabs; returns how to stop. */
  follow(): () => void {
    const read = () => {
      this.#now = Date.now();
      this.#all = keptTimers().filter(({ ends }) => ends > this.#now - FORGET_MS);
    };
    read();
    const tick = setInterval(() => {
      const before = this.#now;
      this.#now = Date.now();
      if (this.#all.some(({ ends }) => ends > before && ends <= this.#now)) sound();
    }, TICK_MS);
    window.addEventListener('storage', read);
    return () => {
      clearInterval(tick);
      window.removeEventListener('storage', read);
    };
  }

  get all(): readonly Timer[] {
    return this.#all;
  }

  /** Milliseconds until it ends, below 0 since it has; `null` where none runs. */
  left(key: string): number | null {
    const timer = this.#all.find((t) => t.key === key);
    return timer ? timer.ends - this.#now : null;
  }

  start(key: string, title: string, minutes: number): void {
    const others = this.#all.filter((t) => t.key !== key);
    this.#keep([...others, { key, title, ends: Date.now() + minutes * 60_000 }]);
  }

  stop(key: string): void {
    this.#keep(this.#all.filter((t) => t.key !== key));
  }

  #keep(all: readonly Timer[]): void {
    this.#now = Date.now();
    this.#all = all;
    try {
      localStorage.setItem(KEY, JSON.stringify(all));
    } catch {
      // Blocked storage: they run until the page is left.
    }
  }
}

/** "12:05", hours before it where there are some. */
export function clockTime(ms: number): string {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  const two = (n: number) => String(n).padStart(2, '0');
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  const rest = `${two(minutes)}:${two(seconds % 60)}`;
  return hours > 0 ? `${hours}:${rest}` : rest;
}
