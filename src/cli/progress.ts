// One line on the terminal that tells how far the search is; silent when nobody watches.
import type { Streams } from './input.ts';
import type { Brief } from '#shared/schemas/brief.ts';
import type { DesignProgress } from '#optimize/questions/options.ts';
import { amount } from '#cli/print/design.ts';

/** Shortest time between two changes of the line, ms. */
const PAUSE_MS = 100;

export interface ProgressLine {
  readonly tell: (milliseconds: number, text: string) => void;
  readonly clear: () => void;
}

/** How far a design is, in words. */
export function progressText(
  { objective, lower_bound, gap, miss, settled }: DesignProgress,
  { minimise }: Brief,
): string {
  const none = miss === undefined ? 'no blend yet' : `closest so far ${miss.toFixed(2)} off`;
  const best =
    objective === null
      ? none
      : `best ${amount(objective, minimise)}, unproven ${(gap * 100).toFixed(1)} %`;
  const blends = settled === undefined ? '' : `, ${settled} blends`;
  return `${best}, at least ${amount(lower_bound, minimise)}${blends}`;
}

/** A progress line on a stream; does nothing unless the stream is a terminal. */
export function progressLine(stream: Streams['err']): ProgressLine {
  let last = -Infinity;
  const write = (line: string) => void (stream.isTTY && stream.write(`\r\x1b[2K${line}`));
  return {
    tell: (milliseconds, text) => {
      if (Math.abs(milliseconds - last) < PAUSE_MS) return;
      last = milliseconds;
      write(`${text}, ${Math.round(milliseconds / 1000)} s`);
    },
    clear: () => write(''),
  };
}
