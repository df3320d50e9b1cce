// Terms compiled to a list of simple instructions, run over one world or over many at once. What does
// not differ between the worlds is computed once; the rest goes through one loop an instruction.
import {
  termsIn,
  type Input,
  type InputOwner,
  type Leaf,
  type Line,
  type Made,
  type Term,
} from './term.ts';

/** One value for all worlds, or one for each. */
export type Values = number | Float64Array;

const OPS = ['add', 'mul', 'sub', 'div', 'pow', 'min', 'max', 'exp', 'ln', 'log10'] as const;
type Op = (typeof OPS)[number];
export const CODE = Object.fromEntries(OPS.map((op, i) => [op, i])) as Record<Op, number>;
const { add, mul, sub, div, pow, min, max, exp, ln } = CODE;

/** Numbers an instruction takes: operation, where to, from where, and from where. */
export const WIDTH = 4;

/** What a program is told before it runs: a figure that differs by world, or a line kept elsewhere. */
export type External = (Leaf & { readonly input: Input }) | Line;

/** One instruction on numbers. */
export function scalar(op: number, a: number, b: number): number {
  switch (op) {
    case add:
      return a + b;
    case mul:
      return a * b;
    case sub:
      return a - b;
    case div:
      return a / b;
    case pow:
      return a ** b;
    case min:
      return a < b ? a : b;
    case max:
      return a > b ? a : b;
    case exp:
      return Math.exp(a);
    case ln:
      return Math.log(a);
    default:
      return Math.log10(a);
  }
}

/** Both sides differ by world. */
function both(op: number, to: Float64Array, a: Float64Array, b: Float64Array, n: number): void {
  if (op === add) for (let k = 0; k < n; k += 1) to[k] = a[k]! + b[k]!;
  else if (op === mul) for (let k = 0; k < n; k += 1) to[k] = a[k]! * b[k]!;
  else if (op === sub) for (let k = 0; k < n; k += 1) to[k] = a[k]! - b[k]!;
  else if (op === div) for (let k = 0; k < n; k += 1) to[k] = a[k]! / b[k]!;
  else if (op === pow) for (let k = 0; k < n; k += 1) to[k] = a[k]! ** b[k]!;
  else if (op === min) for (let k = 0; k < n; k += 1) to[k] = a[k]! < b[k]! ? a[k]! : b[k]!;
  else for (let k = 0; k < n; k += 1) to[k] = a[k]! > b[k]! ? a[k]! : b[k]!;
}

/** The first side differs by world. */
function first(op: number, to: Float64Array, a: Float64Array, b: number, n: number): void {
  if (op === add) for (let k = 0; k < n; k += 1) to[k] = a[k]! + b;
  else if (op === mul) for (let k = 0; k < n; k += 1) to[k] = a[k]! * b;
  else if (op === sub) for (let k = 0; k < n; k += 1) to[k] = a[k]! - b;
  else if (op === div) for (let k = 0; k < n; k += 1) to[k] = a[k]! / b;
  else if (op === pow) for (let k = 0; k < n; k += 1) to[k] = a[k]! ** b;
  else if (op === min) for (let k = 0; k < n; k += 1) to[k] = a[k]! < b ? a[k]! : b;
  else for (let k = 0; k < n; k += 1) to[k] = a[k]! > b ? a[k]! : b;
}

/** The second side differs by world. */
function second(op: number, to: Float64Array, a: number, b: Float64Array, n: number): void {
  if (op === sub) for (let k = 0; k < n; k += 1) to[k] = a - b[k]!;
  else if (op === div) for (let k = 0; k < n; k += 1) to[k] = a / b[k]!;
  else if (op === pow) for (let k = 0; k < n; k += 1) to[k] = a ** b[k]!;
  else first(op, to, b, a, n);
}

function single(op: number, to: Float64Array, a: Float64Array, n: number): void {
  if (op === exp) for (let k = 0; k < n; k += 1) to[k] = Math.exp(a[k]!);
  else if (op === ln) for (let k = 0; k < n; k += 1) to[k] = Math.log(a[k]!);
  else for (let k = 0; k < n; k += 1) to[k] = Math.log10(a[k]!);
}

/** A list of numbers that is written anew for each program: what it once had room for is kept. */
class Scratch<T extends Int32Array | Float64Array> {
  length = 0;
  private values: T;

  constructor(private readonly make: (length: number) => T) {
    this.values = make(1024);
  }

  begin(): void {
    this.length = 0;
  }

  at(index: number): number {
    return this.values[index]!;
  }

  push(value: number): number {
    if (this.length === this.values.length) {
      const larger = this.make(2 * this.length);
      larger.set(this.values);
      this.values = larger;
    }
    this.values[this.length] = value;
    return this.length++;
  }

  taken(): T {
    return this.values.slice(0, this.length) as T;
  }
}
// One program is compiled at a time.
const code = new Scratch((length) => new Int32Array(length));
/** Values of the registers that are constants; NaN elsewhere. */
const constants = new Scratch((length) => new Float64Array(length));

/** The number of the program that is compiled: what terms say of an older one counts no more. */
let compilation = 0;

const isInput = (leaf: Leaf): leaf is Leaf & { readonly input: Input } => leaf.input !== null;

function noted(term: Made, register: number): number {
  term.compilation = compilation;
  term.register = register;
  return register;
}

/** Writes the instructions of terms, each term once, arithmetic on constants done at once. */
class Compiler {
  readonly externals: External[] = [];
  /** Registers of the externals, in their order. */
  readonly told: number[] = [];
  private readonly byValue = new Map<number, number>();
  private readonly byInput = new Map<InputOwner, Map<string, number>>();
  private readonly isExternal: (line: Line) => boolean;
  private readonly varies: (input: Input) => boolean;

  constructor(isExternal: (line: Line) => boolean, varies: (input: Input) => boolean) {
    this.isExternal = isExternal;
    this.varies = varies;
    compilation += 1;
    code.begin();
    constants.begin();
  }

  private constant(value: number): number {
    let register = this.byValue.get(value);
    if (register === undefined) {
      register = constants.push(value);
      this.byValue.set(value, register);
    }
    return register;
  }

  private external(of: External): number {
    const register = constants.push(NaN);
    this.externals.push(of);
    this.told.push(register);
    return register;
  }

  private input(leaf: Leaf & { readonly input: Input }): number {
    const { of, name } = leaf.input;
    let names = this.byInput.get(of);
    if (!names) this.byInput.set(of, (names = new Map()));
    let register = names.get(name);
    if (register === undefined) names.set(name, (register = this.external(leaf)));
    return register;
  }

  private emit(op: number, a: number, b: number): number {
    const left = constants.at(a);
    const right = constants.at(b);
    if (!Number.isNaN(left) && !Number.isNaN(right)) {
      return this.constant(scalar(op, left, right));
    }
    const to = constants.push(NaN);
    code.push(op);
    code.push(to);
    code.push(a);
    code.push(b);
    return to;
  }

  private fold(op: number, terms: readonly Term[], none: number): number {
    let register = -1;
    for (const term of terms) {
      register = register < 0 ? this.of(term) : this.emit(op, register, this.of(term));
    }
    return register < 0 ? this.constant(none) : register;
  }

  /** Where the value of a term stands. */
  of(term: Term): number {
    if (term.kind === 'leaf') return this.leaf(term);
    return term.compilation === compilation ? term.register : noted(term, this.written(term));
  }

  /** The same of a line that is asked for: it is worked out even where it could be told. */
  asked(term: Term): number {
    return term.kind === 'line' ? noted(term, this.of(term.term)) : this.of(term);
  }

  private leaf(leaf: Leaf): number {
    return isInput(leaf) && this.varies(leaf.input) ? this.input(leaf) : this.constant(leaf.value);
  }

  private written(term: Made): number {
    switch (term.kind) {
      case 'line':
        return this.isExternal(term) ? this.external(term) : this.of(term.term);
      case 'list':
        return this.fold(add, termsIn(term), 0);
      case 'sum':
        return this.fold(add, term.terms, 0);
      case 'product':
        return this.fold(mul, term.terms, 1);
      case 'least':
        return this.fold(min, term.terms, Infinity);
      case 'most':
        return this.fold(max, term.terms, -Infinity);
      case 'minus':
        return this.emit(sub, this.of(term.first), this.of(term.second));
      case 'over':
        return this.emit(div, this.of(term.first), this.of(term.second));
      case 'power':
        return this.emit(pow, this.of(term.first), this.of(term.second));
      case 'exp':
      case 'ln':
      case 'log10': {
        const of = this.of(term.of);
        return this.emit(CODE[term.kind], of, of);
      }
    }
  }
}

/** Arrays of one length, cut from larger ones: many small ones are slow to come by. */
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

/** The arrays of the last run that nobody reads any more: the next of as many worlds goes on with them. */
let spare: Arrays | null = null;

/** By register, the values of the run that is at work where they differ by world; `null` after it. */
const values: (Float64Array | null)[] = [];

export class Program {
  /** What it must be told, in the order `run` asks for it. */
  readonly externals: readonly External[];
  /** Registers of the externals, in their order. */
  readonly told: Int32Array;
  readonly code: Int32Array;
  /** Values of the registers that are constants; NaN elsewhere. */
  readonly constants: Float64Array;
  /** Registers of what is asked for. */
  readonly outputs: Int32Array;
  /** Last instruction that reads a register; those of outputs are never given away. */
  private readonly lastRead: Int32Array;

  /**
   * @param isExternal lines that are told instead of worked out.
   * @param varies inputs that may have another value than the central one.
   */
  constructor(
    outputs: readonly Term[],
    isExternal: (line: Line) => boolean = () => false,
    varies: (input: Input) => boolean = () => true,
  ) {
    const compiler = new Compiler(isExternal, varies);
    this.outputs = Int32Array.from(outputs, (term) => compiler.asked(term));
    this.externals = compiler.externals;
    this.told = Int32Array.from(compiler.told);
    this.code = code.taken();
    this.constants = constants.taken();
    this.lastRead = new Int32Array(this.constants.length).fill(-1);
    for (let at = 0; at < this.code.length; at += WIDTH) {
      this.lastRead[this.code[at + 2]!] = at;
      this.lastRead[this.code[at + 3]!] = at;
    }
    for (const register of this.outputs) this.lastRead[register] = this.code.length;
  }

  /** Runs in one world. */
  runOnce(told: (external: External) => number): Float64Array {
    const registers = this.constants.slice();
    this.told.forEach((register, i) => (registers[register] = told(this.externals[i]!)));
    const { code } = this;
    for (let at = 0; at < code.length; at += WIDTH) {
      const left = registers[code[at + 2]!]!;
      registers[code[at + 1]!] = scalar(code[at]!, left, registers[code[at + 3]!]!);
    }
    return Float64Array.from(this.outputs, (register) => registers[register]!);
  }

  /** Runs in `count` worlds. Arrays that come back are the caller's. */
  run(count: number, told: (external: External) => Values): Values[] {
    const { code, lastRead } = this;
    const uniform = this.constants.slice();
    const arrays = values.fill(null);
    while (arrays.length < uniform.length) arrays.push(null);
    const own = new Uint8Array(uniform.length);
    const room = spare?.length === count ? spare : new Arrays(count);
    spare = null;
    this.told.forEach((register, i) => {
      const given = told(this.externals[i]!);
      if (typeof given === 'number') uniform[register] = given;
      else if (given.length === 1) uniform[register] = given[0]!;
      else arrays[register] = given;
    });
    const release = (register: number, at: number) => {
      if (own[register] && lastRead[register] === at) {
        room.give(arrays[register]!);
        own[register] = 0;
      }
    };
    for (let at = 0; at < code.length; at += WIDTH) {
      const op = code[at]!;
      const to = code[at + 1]!;
      const left = code[at + 2]!;
      const right = code[at + 3]!;
      const a = arrays[left] ?? null;
      const b = arrays[right] ?? null;
      if (!a && !b) {
        uniform[to] = scalar(op, uniform[left]!, uniform[right]!);
        continue;
      }
      const result = room.take();
      if (a && op >= exp) single(op, result, a, count);
      else if (a && b) both(op, result, a, b, count);
      else if (a) first(op, result, a, uniform[right]!, count);
      else if (b) second(op, result, uniform[left]!, b, count);
      arrays[to] = result;
      own[to] = 1;
      release(left, at);
      if (right !== left) release(right, at);
    }
    spare = room;
    const outputs: Values[] = [];
    for (const register of this.outputs) outputs.push(arrays[register] ?? uniform[register]!);
    arrays.fill(null);
    return outputs;
  }
}
