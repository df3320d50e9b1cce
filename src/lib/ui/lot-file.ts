// Hands the stock out as a CSV file; loads on demand.
import { csvText } from '#shared/csv.ts';
import { rowsOf, type ListedLot } from '#shared/lot-list.ts';
import { downloadCsv } from './download.ts';

export function downloadLots(lots: readonly ListedLot[]): void {
  downloadCsv('stock.csv', csvText(rowsOf(lots)));
}
