// Reads JSON the way a person needs it read: every fault with its line, column and place in the
// document, and what to write instead. Strict JSON (RFC 8259) and nothing more is accepted; a byte
// order mark in front is skipped. Fields given twice are faults, because one of them would be lost.
import type { Problem } from '#shared/outcome.ts';
import { pathText } from './path.ts';
import { Problems } from './problems.ts';

/** Deepest nesting read; the documents of this program need 5. */
const DEPTH_MAX = 64;

/** What was read. `value` is absent when the text could not be followed to its end. */
export interface JsonReading {
  readonly value?: unknown;
  /** Empty exactly when the text is sound. A fault that could be stepped over does not hide others. */
  readonly problems: readonly Problem[];
}

/** Ends the reading: nothing after this fault can be trusted. */
class Unreadable extends Error {}

const WORDS: Readonly<Record<string, unknown>> = { true: true, false: false, null: null };
const ESCAPES: Readonly<Record<string, string>> = {
  '"': '"',
  '\\': '\\',
  '/': '/',
  b: '\b',
  f: '\f',
  n: '\n',
  r: '\r',
  t: '\t',
};
/** A field like any that is assigned. */
const PLAIN = { enumerable: true, configurable: true, writable: true };
/** The end of a line. */
const LINE = /\r\n|\r|\n/g;
/** Characters of a word that are shown of one that is at fault. */
const SHOWN = 40;
const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const WORD = /[-+]?[\p{L}\p{N}_.][-+\p{L}\p{N}_.]*/uy;
/** What may follow a number at once, most often. */
const AFTER_NUMBER = ',]} \n\r\t';
const [TAB, LINE_FEED, RETURN, SPACE, QUOTE, SLASH, BACKSLASH] = [9, 10, 13, 32, 34, 47, 92];

class Reader {
  readonly problems = new Problems();
  private at = 0;
  /** Where each line begins; found out when the first fault is. */
  private starts: readonly number[] | null = null;
  private readonly path: (string | number)[] = [];

  constructor(private readonly text: string) {}

  document(): unknown {
    this.skipSpace();
    if (this.at === this.text.length) {
      this.stop('there is nothing in it', 'Write one JSON document into it');
    }
    const value = this.value();
    this.skipSpace();
    if (this.at < this.text.length) {
      this.stop(
        `${this.shown()} follows the end of the document at ${this.place()}`,
        'Keep one JSON document and remove what comes after it',
      );
    }
    return value;
  }

  /** Records a fault after which reading can go on; its sentence is made at once, from the place of the fault. */
  private note(inWords: () => Omit<Problem, 'path'>): void {
    this.problems.add(() => ({ path: pathText(this.path), ...inWords() }));
  }

  private stop(message: string, cure: string): never {
    this.note(() => ({ message, cure }));
    throw new Unreadable();
  }

  /** Line and column of a position, both counted from 1. */
  private place(at = this.at): string {
    this.starts ??= [
      0,
      ...Array.from(this.text.matchAll(LINE), (end) => end.index + end[0].length),
    ];
    let [line, beyond] = [0, this.starts.length];
    while (beyond - line > 1) {
      const middle = (line + beyond) >> 1;
      if (this.starts[middle]! <= at) line = middle;
      else beyond = middle;
    }
    return `line ${line + 1}, column ${at - this.starts[line]! + 1}`;
  }

  private shown(): string {
    const word = this.match(WORD);
    return JSON.stringify(
      (word ?? String.fromCodePoint(this.text.codePointAt(this.at)!)).slice(0, SHOWN),
    );
  }

  private match(pattern: RegExp): string | null {
    pattern.lastIndex = this.at;
    return pattern.exec(this.text)?.[0] ?? null;
  }

  private skipSpace(): void {
    const { text } = this;
    let code = text.charCodeAt(this.at);
    while (code === SPACE || code === LINE_FEED || code === RETURN || code === TAB) {
      code = text.charCodeAt((this.at += 1));
    }
    if (code === SLASH && '/*'.includes(text[this.at + 1] ?? 'x')) {
      this.stop(`there is a comment at ${this.place()}`, 'Remove it: JSON has no comments');
    }
  }

  private endsEarly(open: string): never {
    return this.stop(
      `the document breaks off at ${this.place()}, before the closing ${open}`,
      'Give the whole document: the end is missing',
    );
  }

  private value(): unknown {
    const next = this.text[this.at];
    if (next === '{' || next === '[') {
      if (this.path.length >= DEPTH_MAX) {
        this.stop(
          `brackets are nested more than ${DEPTH_MAX} deep at ${this.place()}`,
          'Remove the needless brackets',
        );
      }
      return next === '{' ? this.object() : this.array();
    }
    if (next === '"') return this.string();
    if (next === undefined) this.endsEarly('value');
    if ("'‘’“”„«`".includes(next)) {
      this.stop(
        `text stands in the wrong quotes at ${this.place()}`,
        'Use straight double quotes: "',
      );
    }
    return this.number() ?? this.word();
  }

  private number(): number | undefined {
    const digits = this.match(NUMBER);
    if (digits === null) return undefined;
    const next = this.text[this.at + digits.length];
    const ends = next === undefined || AFTER_NUMBER.includes(next);
    if (!ends && digits !== this.match(WORD)) return undefined;
    const value = Number(digits);
    if (!Number.isFinite(value)) {
      const shown = digits.length > SHOWN ? `${digits.slice(0, SHOWN)}…` : digits;
      this.note(() => ({
        message: `${shown} at ${this.place()} is too large`,
        cure: 'Give a figure of ordinary size',
      }));
    }
    this.at += digits.length;
    // Adding 0 turns -0 into 0.
    return Number.isFinite(value) ? value + 0 : 0;
  }

  private word(): unknown {
    const word = this.match(WORD);
    if (word === null) {
      this.stop(`a value is missing at ${this.place()}, before ${this.shown()}`, 'Give the value');
    }
    if (Object.hasOwn(WORDS, word)) {
      this.at += word.length;
      return WORDS[word];
    }
    if (/^[-+]?(nan|inf|infinity|undefined|none|null|true|false)$/i.test(word)) {
      const lower = word.toLowerCase();
      const isWord = Object.hasOwn(WORDS, lower);
      this.note(() => ({
        message: `${word} at ${this.place()} is ${isWord ? 'not written as JSON writes it' : 'no figure'}`,
        cure: isWord
          ? `Write ${lower}`
          : 'Give a finite number, or leave the field out if it is not known',
      }));
      this.at += word.length;
      return isWord ? WORDS[lower] : 0;
    }
    return this.stop(
      `${JSON.stringify(word.slice(0, SHOWN))} at ${this.place()} is neither a number nor text in double quotes`,
      /^[-+.\d]/.test(word)
        ? 'Write numbers like 12, 0.5 or 1.2e3, without a plus sign, leading zeros or units'
        : 'Put text in double quotes',
    );
  }

  private string(): string {
    const start = this.at;
    const { text } = this;
    let end = start + 1;
    let code = text.charCodeAt(end);
    while (code !== QUOTE && code !== BACKSLASH && code >= SPACE)
      code = text.charCodeAt((end += 1));
    if (code === QUOTE) {
      this.at = end + 1;
      return text.slice(start + 1, end);
    }
    this.at += 1;
    let result = '';
    for (;;) {
      const next = this.text[this.at];
      if (next === undefined) {
        this.stop(
          `the text that starts at ${this.place(start)} has no closing quote`,
          'Close it with a double quote; the end of the document may be missing',
        );
      }
      if (next < ' ') {
        this.stop(
          `a line break or control character stands inside text at ${this.place()}`,
          'Close the text with a double quote before the end of the line',
        );
      }
      this.at += 1;
      if (next === '"') return result;
      result += next === '\\' ? this.escape() : next;
    }
  }

  private escape(): string {
    const letter = this.text[this.at] ?? '';
    const hex = letter === 'u' ? this.text.slice(this.at + 1, this.at + 5) : '';
    if (/^[\da-f]{4}$/i.test(hex)) {
      this.at += 5;
      return String.fromCharCode(parseInt(hex, 16));
    }
    if (!Object.hasOwn(ESCAPES, letter)) {
      this.stop(
        `a backslash at ${this.place(this.at - 1)} starts nothing JSON knows`,
        'Write \\\\ for a backslash',
      );
    }
    this.at += 1;
    return ESCAPES[letter]!;
  }

  /** Goes over the members of a list or object; `member` reads one and leaves the path as it was. */
  private members(close: string, member: () => void): void {
    this.at += 1;
    this.skipSpace();
    if (this.text[this.at] === close) {
      this.at += 1;
      return;
    }
    for (;;) {
      member();
      this.skipSpace();
      const next = this.text[this.at];
      if (next === undefined) this.endsEarly(close);
      if (next !== ',' && next !== close) {
        this.stop(
          `a comma or ${close} is missing at ${this.place()}, before ${this.shown()}`,
          'Put a comma between the entries',
        );
      }
      this.at += 1;
      if (next === close) return;
      const comma = this.at - 1;
      this.skipSpace();
      if (this.text[this.at] === close) {
        this.note(() => ({
          message: `a comma without a following entry stands at ${this.place(comma)}`,
          cure: 'Remove it',
        }));
        this.at += 1;
        return;
      }
    }
  }

  private array(): unknown[] {
    const result: unknown[] = [];
    this.members(']', () => {
      this.path.push(result.length);
      result.push(this.value());
      this.path.pop();
    });
    return result;
  }

  private object(): Record<string, unknown> {
    const result: Record<string, unknown> = {};
    const seen = new Map<string, number>();
    this.members('}', () => {
      const start = this.at;
      if (this.text[start] === undefined) this.endsEarly('}');
      if (this.text[start] !== '"') {
        this.stop(
          `a field name in double quotes is missing at ${this.place()}, before ${this.shown()}`,
          /\d/.test(this.text[start]!)
            ? 'If a decimal comma is meant, write a point: 1.5'
            : 'Write field names in straight double quotes, like "grams"',
        );
      }
      const name = this.string();
      this.path.push(name);
      const before = seen.get(name);
      if (before !== undefined) {
        this.note(() => ({
          message: `the field is given twice, at ${this.place(before)} and at ${this.place(start)}`,
          cure: 'Keep one of them',
        }));
      }
      seen.set(name, start);
      this.skipSpace();
      if (this.text[this.at] === undefined) this.endsEarly('}');
      if (this.text[this.at] !== ':') {
        this.stop(`a colon is missing at ${this.place()}`, 'Write a colon after the field name');
      }
      this.at += 1;
      this.skipSpace();
      const value = this.value();
      // A field called __proto__ must become a field, not the prototype.
      if (name === '__proto__') Object.defineProperty(result, name, { value, ...PLAIN });
      else result[name] = value;
      this.path.pop();
    });
    return result;
  }
}

/** Reads one JSON document. Where a fault was stepped over, a stand-in takes the value's place. */
export function readJson(text: string): JsonReading {
  const reader = new Reader(text.replace(/^\uFEFF/, ''));
  try {
    const value = reader.document();
    return { value, problems: reader.problems.list };
  } catch (fault) {
    if (!(fault instanceof Unreadable)) throw fault;
    return { problems: reader.problems.list };
  }
}
