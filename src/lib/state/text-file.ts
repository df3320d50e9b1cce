// The text of a file as people's programs write it: UTF-8, UTF-16 with its mark, else Windows-1252.

export interface TextFile {
  readonly text: string;
  readonly encoding: 'UTF-8' | 'UTF-16' | 'Windows-1252';
}

/** Decodes bytes; what is no valid UTF-8 is taken for Windows-1252, which any bytes are. */
export function textOfFile(bytes: Uint8Array): TextFile {
  const [first, second] = bytes;
  const utf16 = (first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff);
  if (utf16) {
    const label = first === 0xff ? 'utf-16le' : 'utf-16be';
    return { text: new TextDecoder(label).decode(bytes), encoding: 'UTF-16' };
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), encoding: 'UTF-8' };
  } catch {
    return { text: new TextDecoder('windows-1252').decode(bytes), encoding: 'Windows-1252' };
  }
}
