// Hands the stock out as a CSV file; loads on demand.
import { csvText } from '#shared/lists/csv.ts';
import { rowsOf, type ListedLot } from '#shared/lists/lot-list.ts';
import { downloadCsv } from '#ui/kit/download.ts';

export function downloadLots(lots: readonly ListedLot[]): void {
  downloadCsv('stock.csv', csvText(rowsOf(lots)));
}
