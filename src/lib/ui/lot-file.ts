// Hands the stock out as a CSV file; loads on demand.
import { csvText } from '#shared/csv.ts';
import { rowsOf, type ListedLot } from '#shared/lot-list.ts';

export function downloadLots(lots: readonly ListedLot[]): void {
  const blob = new Blob([csvText(rowsOf(lots))], { type: 'text/csv;charset=utf-8' });
  const url = URL.createObjectURL(blob);
  Object.assign(document.createElement('a'), { href: url, download: 'stock.csv' }).click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
