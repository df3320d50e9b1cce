// Hands the person a file made on the page.

/** Offers `document` as a JSON file; readable, because people look into their files. */
export function downloadJson(name: string, document: unknown): void {
  const text = `${JSON.stringify(document, null, 2)}\n`;
  const url = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  const link = Object.assign(window.document.createElement('a'), { href: url, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

/** A name without what file systems do not take. */
export function fileName(title: string): string {
  const plain = title.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-');
  return `${plain.replace(/^-|-$/g, '').slice(0, 60) || 'design'}.json`;
}
