// Figures and tables as plain text: aligned columns, three digits, two of what is in doubt, no decoration.
import { decimalsAlike } from '#shared/interval.ts';

/** How a column stands: figures right, words left. */
export type Align = 'left' | 'right';

/** At most three significant digits; `12300` rather than `1.23e4`. */
export function figure(value: number): string {
  if (value !== 0 && Math.abs(value) < 1e-4) return value.toExponential(1);
  return new Intl.NumberFormat('en', {
    maximumSignificantDigits: 3,
    useGrouping: false,
  }).format(value);
}

/** Writes a doubtful figure and the ends of its range alike. */
export function alike(...figures: readonly (number | null)[]): (value: number) => string {
  const places = decimalsAlike(figures);
  return (value) => value.toFixed(places);
}

/** `low to high`. */
export function band(low: number, high: number, format: (value: number) => string): string {
  return `${format(low)} to ${format(high)}`;
}

/** Rows as aligned lines, two spaces between columns. The first row may be a header. */
export function table(rows: readonly (readonly string[])[], align: readonly Align[]): string[] {
  const widths = align.map((_, i) => Math.max(...rows.map((row) => (row[i] ?? '').length)));
  return rows.map((row) =>
    align
      .map((side, i) => {
        const cell = row[i] ?? '';
        return side === 'left' ? cell.padEnd(widths[i]!) : cell.padStart(widths[i]!);
      })
      .join('  ')
      .trimEnd(),
  );
}

/** Words broken into lines of at most `width` characters, later lines indented under the first. */
export function wrapped(text: string, first = '- ', width = 100): string[] {
  const lines: string[] = [];
  let line = first.trimEnd();
  for (const word of text.split(' ')) {
    const joined = line === '' ? word : `${line} ${word}`;
    if (joined.length > width && line.trim() !== '') {
      lines.push(line);
      line = `${' '.repeat(first.length)}${word}`;
    } else line = joined;
  }
  return [...lines, line];
}

/** A field of a document as words. */
export function words(field: string): string {
  return field.replaceAll('_', ' ');
}
