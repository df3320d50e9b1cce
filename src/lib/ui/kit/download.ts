// Hands the person a file made on the page.

/** Offers `document` as a JSON file; readable, because people look into their files. */
export function downloadJson(name: string, document: unknown): void {
  download(name, 'application/json', `${JSON.stringify(document, null, 2)}\n`);
}

/** Offers a table already written as CSV. */
export function downloadCsv(name: string, text: string): void {
  download(name, 'text/csv;charset=utf-8', text);
}

/** Offers a text as a file. */
export function download(name: string, type: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const link = Object.assign(window.document.createElement('a'), { href: url, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** A name without what file systems do not take, with its ending. */
export function fileName(title: string, ending = 'json'): string {
  const plain = title.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-');
  return `${plain.replace(/^-|-$/g, '').slice(0, 60) || 'design'}.${ending}`;
}
