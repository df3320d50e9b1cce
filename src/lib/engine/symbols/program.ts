// Runs terms compiled to a list of simple instructions, over one world or over many at once. What does not
// differ between the worlds is computed once; for the rest there is one loop for each instruction. Instructions
// are ordered by the parts of a document they depend on, so that a later run computes only what has changed.
import { compiled, type Compiling, type External } from './compiler.ts';
import { both, CODE, first, scalar, second, single, WIDTH } from './instructions.ts';
import { CONDITIONS, GRAMS, type Input, type Term } from './term.ts';

/** One value for all worlds, or one for each. */
export type Values = number | Float64Array;

/** Hands out arrays of one length, cut from larger ones: many small allocations are slow. */
class Arrays {
  readonly length: number;
  private readonly free: Float64Array[] = [];
  private block = new Float64Array(0);
  private taken = 0;

  constructor(length: number) {
    this.length = length;
  }

  take(): Float64Array {
    const known = this.free.pop();
    if (known) return known;
    if (this.taken + this.length > this.block.length) {
      this.block = new Float64Array(ARRAYS_IN_BLOCK * this.length);
      this.taken = 0;
    }
    this.taken += this.length;
    return this.block.subarray(this.taken - this.length, this.taken);
  }

  give(array: Float64Array): void {
    this.free.push(array);
  }
}
const ARRAYS_IN_BLOCK = 64;

/** Arrays of finished runs that nobody reads any more, by number of worlds; the next run uses them again. */
const spare = new Map<number, Arrays>();
/** A prediction needs three sizes: its draws, the months on the shelf, and the ends of the shelf rates. */
const SPARE_KEPT = 3;

function roomFor(count: number): Arrays {
  const room = spare.get(count) ?? new Arrays(count);
  spare.delete(count);
  spare.set(count, room);
  for (const oldest of spare.keys()) {
    if (spare.size <= SPARE_KEPT) break;
    spare.delete(oldest);
  }
  return room;
}

/** Grams affect nearly everything, so what depends on them is computed again whatever else has changed. */
const GRAMS_BIT = 1 << 30;
const EVERYTHING = -1;

/** Consecutive instructions that depend on the same parts of a document. */
interface Segment {
  /** One bit for each part of the document. */
  readonly parts: number;
  readonly from: number;
  readonly to: number;
}

/** A figure of a document that may change between runs, with the bit of its part. */
interface Changing {
  readonly input: Input;
  readonly register: number;
  readonly part: number;
}

function bitsIn(parts: number): number {
  let count = 0;
  for (let left = parts; left !== 0; left &= left - 1) count += 1;
  return count;
}

/** Figures of a document by the part they belong to: the grams, the batch, or a stage by its key. */
function changingIn(externals: readonly External[], registers: Int32Array): Changing[] {
  // A document has few stages, so there is a bit for each.
  const parts = new Map<string, number>();
  return externals.flatMap((external, i): Changing[] => {
    if (external.kind === 'line') return [];
    const { input } = external;
    const register = registers[i]!;
    if (input.of === GRAMS) return [{ input, register, part: GRAMS_BIT }];
    if (input.of !== CONDITIONS) return [];
    const name = input.name.slice(0, input.name.lastIndexOf('.'));
    const part = parts.get(name) ?? 1 << parts.size;
    parts.set(name, part);
    return [{ input, register, part }];
  });
}

export class Program {
  /** What the program must be given, in the order in which `run` asks for it. */
  readonly externals: readonly External[];
  /** Registers of the externals, in their order. */
  readonly externalRegisters: Int32Array;
  readonly code: Int32Array;
  /** Values of the registers that are constants; NaN elsewhere. */
  readonly constants: Float64Array;
  /** Registers of the outputs. */
  readonly outputs: Int32Array;
  /** Figures that a later run is given again. */
  readonly changing: readonly Changing[];
  readonly segments: readonly Segment[];
  /** Number of the last instruction that reads a register; registers of outputs are never reused. */
  readonly lastRead: Int32Array;
  /** By register, whether another segment or the caller reads it. */
  readonly stays: Uint8Array;

  constructor(terms: readonly Term[], how: Compiling = {}) {
    const { externals, externalRegisters, code, constants, outputs } = compiled(terms, how);
    this.externals = externals;
    this.externalRegisters = externalRegisters;
    this.constants = constants;
    this.outputs = outputs;
    this.changing = changingIn(externals, externalRegisters);
    const parts = new Int32Array(constants.length);
    for (const { register, part } of this.changing) parts[register] = part;
    const { ordered, segments } = inSegments(code, parts);
    this.code = ordered;
    this.segments = segments;
    this.lastRead = new Int32Array(constants.length).fill(-1);
    this.stays = new Uint8Array(constants.length);
    for (const { parts: of, from, to } of segments) {
      for (let at = from; at < to; at += WIDTH) {
        for (const side of [ordered[at + 2]!, ordered[at + 3]!]) {
          this.lastRead[side] = at;
          if (parts[side] !== of) this.stays[side] = 1;
        }
      }
    }
    for (const register of outputs) {
      this.lastRead[register] = ordered.length;
      this.stays[register] = 1;
    }
  }

  /** Runs in `count` worlds. The caller may keep the arrays it gets. */
  run(count: number, valuesOf: (external: External) => Values): Values[] {
    return new Execution(this, count, valuesOf).throughout();
  }
}

/**
 * Groups instructions that depend on the same parts of a document. Groups that depend on fewer parts come
 * first, because others need their results.
 * @param parts by register; given for the externals, filled in for the rest.
 */
function inSegments(
  code: Int32Array,
  parts: Int32Array,
): { readonly ordered: Int32Array; readonly segments: readonly Segment[] } {
  const lengths = new Map<number, number>();
  for (let at = 0; at < code.length; at += WIDTH) {
    const of = parts[code[at + 2]!]! | parts[code[at + 3]!]!;
    const all = of & GRAMS_BIT ? EVERYTHING : of;
    parts[code[at + 1]!] = all;
    lengths.set(all, (lengths.get(all) ?? 0) + WIDTH);
  }
  const segments: Segment[] = [];
  const places = new Map<number, number>();
  let from = 0;
  for (const of of [...lengths.keys()].sort((a, b) => bitsIn(a) - bitsIn(b))) {
    const to = from + lengths.get(of)!;
    segments.push({ parts: of, from, to });
    places.set(of, from);
    from = to;
  }
  if (segments.length < 2) return { ordered: code, segments };
  const ordered = new Int32Array(code.length);
  for (let at = 0; at < code.length; at += WIDTH) {
    const of = parts[code[at + 1]!]!;
    const place = places.get(of)!;
    for (let i = 0; i < WIDTH; i += 1) ordered[place + i] = code[at + i]!;
    places.set(of, place + WIDTH);
  }
  return { ordered, segments };
}

function runScalars(code: Int32Array, registers: Float64Array, from: number, to: number): void {
  for (let at = from; at < to; at += WIDTH) {
    const left = registers[code[at + 2]!]!;
    registers[code[at + 1]!] = scalar(code[at]!, left, registers[code[at + 3]!]!);
  }
}

/** A program at work in `count` worlds: run once, or again and again while figures of the document change. */
export class Execution {
  private readonly program: Program;
  private readonly count: number;
  /** By register, the value where it is one for all worlds. */
  private readonly uniform: Float64Array;
  /** By register, the values where they differ by world. */
  private readonly arrays: (Float64Array | null)[];
  /** By register, whether this execution took its array and has not given it back. */
  private readonly own: Uint8Array;
  private isBegun = false;

  /** @param valuesOf values of the externals; of those that change between runs, the first ones. */
  constructor(program: Program, count: number, valuesOf: (external: External) => Values) {
    this.program = program;
    this.count = count;
    this.uniform = program.constants.slice();
    this.arrays = Array<null>(count === 1 ? 0 : this.uniform.length).fill(null);
    this.own = new Uint8Array(this.uniform.length);
    program.externalRegisters.forEach((register, i) => {
      const given = valuesOf(program.externals[i]!);
      if (typeof given === 'number') this.uniform[register] = given;
      else if (given.length === 1) this.uniform[register] = given[0]!;
      else this.arrays[register] = given;
    });
  }

  /** Runs all instructions once. The caller may keep the arrays it gets. */
  throughout(): Values[] {
    this.execute(0, this.program.code.length, false);
    return this.outputs();
  }

  /**
   * Runs again with other figures of the document and computes only what depends on them. The next run
   * overwrites the arrays that the caller gets.
   */
  again(figureOf: (input: Input) => number): Values[] {
    const { changing, segments } = this.program;
    let changed = this.isBegun ? 0 : EVERYTHING;
    for (const { input, register, part } of changing) {
      const figure = figureOf(input);
      if (this.uniform[register] === figure) continue;
      this.uniform[register] = figure;
      changed |= part;
    }
    for (const { parts, from, to } of segments) {
      if (!this.isBegun || (parts & changed) !== 0) this.execute(from, to, true);
    }
    this.isBegun = true;
    return this.outputs();
  }

  private outputs(): Values[] {
    const outputs: Values[] = [];
    for (const r of this.program.outputs) outputs.push(this.arrays[r] ?? this.uniform[r]!);
    return outputs;
  }

  /** @param lasting whether values that another segment reads are kept for the next run. */
  private execute(from: number, to: number, lasting: boolean): void {
    const { program, count, uniform, arrays, own } = this;
    const { code, lastRead, stays } = program;
    if (count === 1) return runScalars(code, uniform, from, to);
    const room = roomFor(count);
    const release = (register: number, at: number) => {
      if (own[register] && lastRead[register] === at && !(lasting && stays[register])) {
        room.give(arrays[register]!);
        own[register] = 0;
      }
    };
    for (let at = from; at < to; at += WIDTH) {
      const op = code[at]!;
      const into = code[at + 1]!;
      const left = code[at + 2]!;
      const right = code[at + 3]!;
      const a = arrays[left] ?? null;
      const b = arrays[right] ?? null;
      if (!a && !b) {
        uniform[into] = scalar(op, uniform[left]!, uniform[right]!);
        continue;
      }
      const result = own[into] ? arrays[into]! : room.take();
      if (a && op >= CODE.exp) single(op, result, a, count);
      else if (a && b) both(op, result, a, b, count);
      else if (a) first(op, result, a, uniform[right]!, count);
      else if (b) second(op, result, uniform[left]!, b, count);
      arrays[into] = result;
      own[into] = 1;
      release(left, at);
      if (right !== left) release(right, at);
    }
  }
}
