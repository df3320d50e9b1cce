// Words of headers and cells as they are compared, in whatever language and spelling: small letters without accents,
// Greek letters spelled out. What the words mean is decided elsewhere.

const SPELLED: Readonly<Record<string, string>> = {
  ß: 'ss',
  α: 'alpha',
  β: 'beta',
  µ: 'u',
  μ: 'u',
};
/** A vulgar fraction behind a figure must not run into it: 1½ is 1 1/2. */
const VULGAR = /[¼½¾⅓⅔⅛⅜⅝⅞]/g;

/** Text that only needs small letters. */
const ASCII = /^[\x20-\x7e]*$/;

/** Small letters without accents: "Žatecký" is "zatecky", "α-Säure" is "alpha-saure". */
export function plain(text: string): string {
  if (ASCII.test(text)) return text.toLowerCase();
  return text
    .replace(VULGAR, (sign) => ` ${sign.normalize('NFKD').replace('\u2044', '/')}`)
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[\u0300-\u036f]/g, '')
    .replace(/[ßαβµμ]/g, (letter) => SPELLED[letter]!);
}

/** Runs of letters, of digits, and strokes: "Preis/100 g" is preis, /, 100, g. */
export function wordsIn(text: string): string[] {
  return plain(text).match(/\p{L}+|\d+|\//gu) ?? [];
}

/** Letters and digits in one piece: "in stock" is "instock". */
export function joined(text: string): string {
  return plain(text).replace(/[^\p{L}\d]/gu, '');
}
