// The text of a file as people's programs write it: UTF-8, UTF-16 with its mark, else Windows-1252. A
// picture, a spreadsheet or anything else that is not text is told as such, with what to choose instead.
import { failure, success, type Outcome } from '#shared/outcome.ts';

export interface TextFile {
  readonly text: string;
  readonly encoding: 'UTF-8' | 'UTF-16' | 'Windows-1252';
}

interface FileKind {
  readonly name: string;
  /** What it begins with. */
  readonly marks: readonly (readonly number[])[];
  /** What helps beside choosing another file. */
  readonly help?: string;
}

const AS_CSV = 'save the sheet as CSV in the program that made it';
/** Files people choose by mistake. */
const KINDS: readonly FileKind[] = [
  {
    name: 'a picture',
    marks: [
      [0x89, 0x50, 0x4e, 0x47],
      [0xff, 0xd8, 0xff],
      [0x47, 0x49, 0x46, 0x38],
      [0x52, 0x49, 0x46, 0x46],
    ],
  },
  { name: 'a PDF', marks: [[0x25, 0x50, 0x44, 0x46, 0x2d]] },
  { name: 'a spreadsheet or another packed file', marks: [[0x50, 0x4b, 3, 4]], help: AS_CSV },
  {
    name: 'a spreadsheet or another document of its program',
    marks: [[0xd0, 0xcf, 0x11, 0xe0]],
    help: AS_CSV,
  },
];
/** Signs no text has: below the blank all but tab, line ends and page ends. */
const NOT_TEXT = /[\0-\x08\x0e-\x1f]/;

function decoded(bytes: Uint8Array): TextFile {
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

/**
 * Decodes bytes; what is no valid UTF-8 is taken for Windows-1252. Fails where they are not text;
 * `instead` says what to choose, like "a list saved as CSV".
 */
export function textOfFile(bytes: Uint8Array, instead: string): Outcome<TextFile> {
  const kind = KINDS.find(({ marks }) =>
    marks.some((mark) => mark.every((b, i) => bytes[i] === b)),
  );
  const file = decoded(bytes);
  if (!kind && !NOT_TEXT.test(file.text)) return success(file);
  return failure({
    path: '',
    message: kind ? `this is ${kind.name}, not text` : 'this is not a text file',
    cure: `Choose ${instead}${kind?.help ? `: ${kind.help}` : ''}`,
  });
}
