// The text of a file as people's programs write it: UTF-8, UTF-16 with its mark or without, else Windows-1250 (Czech
// and its neighbours) or Windows-1252. A picture, a spreadsheet or anything else that is not text is refused, with
// what to choose instead.
import { failure, success, type Outcome } from '#shared/outcome.ts';

export interface TextFile {
  readonly text: string;
  readonly encoding: 'UTF-8' | 'UTF-16' | 'Windows-1250' | 'Windows-1252';
}

interface FileKind {
  readonly name: string;
  /** Bytes that files of this kind begin with. */
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

/** Bytes looked at to find the encoding. */
const SAMPLE = 20_000;

/** UTF-16 without its mark: of Latin letters nearly every second byte is zero. */
function noughtsOf(bytes: Uint8Array): 'le' | 'be' | null {
  const sample = bytes.subarray(0, SAMPLE);
  const noughts = [0, 0];
  sample.forEach((byte, i) => (noughts[i % 2]! += byte === 0 ? 1 : 0));
  const most = (sample.length / 2) * 0.8;
  if (sample.length < 8) return null;
  if (noughts[1]! > most && noughts[0] === 0) return 'le';
  return noughts[0]! > most && noughts[1] === 0 ? 'be' : null;
}

/** Bytes that are common letters in Windows-1250 and rare signs in Windows-1252: š ž ě ř ň ť ď and capitals. */
const CZECH = new Set([
  0x8a, 0x8d, 0x8e, 0x9a, 0x9d, 0x9e, 0xcc, 0xcf, 0xd2, 0xd8, 0xec, 0xef, 0xf2, 0xf8,
]);
/** And the other way: œ à â ê ë î û ñ å ã õ and capitals. */
const WESTERN = new Set([
  0x8c, 0x9c, 0xc0, 0xc5, 0xca, 0xd1, 0xe0, 0xe3, 0xe5, 0xea, 0xee, 0xf1, 0xf5, 0xfb,
]);

function isOfCzech(bytes: Uint8Array): boolean {
  let [czech, western] = [0, 0];
  for (const byte of bytes) {
    if (CZECH.has(byte)) czech += 1;
    else if (WESTERN.has(byte)) western += 1;
  }
  return czech > western;
}

function decoded(bytes: Uint8Array): TextFile {
  const [first, second] = bytes;
  const marked = (first === 0xff && second === 0xfe) || (first === 0xfe && second === 0xff);
  const order = marked ? (first === 0xff ? 'le' : 'be') : noughtsOf(bytes);
  if (order !== null) {
    return { text: new TextDecoder(`utf-16${order}`).decode(bytes), encoding: 'UTF-16' };
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), encoding: 'UTF-8' };
  } catch {
    const label = isOfCzech(bytes) ? '1250' : '1252';
    const text = new TextDecoder(`windows-${label}`).decode(bytes);
    return { text, encoding: `Windows-${label}` };
  }
}

/**
 * Decodes bytes; what is no UTF-8 and no UTF-16 is taken for one of the Windows encodings. Fails where they are not text,
 * or more than `most`, before any of it is read; `instead` says what to choose, like "a list saved as CSV".
 */
export function textOfFile(bytes: Uint8Array, instead: string, most = Infinity): Outcome<TextFile> {
  if (bytes.length > most) {
    return failure({
      path: '',
      message: `the file has more than the ${most / 1e6} MB that are read`,
      cure: `Choose ${instead}, in smaller files where it is long`,
    });
  }
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
