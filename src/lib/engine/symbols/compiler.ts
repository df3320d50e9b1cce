// Writes terms as a list of instructions, each term once. Arithmetic on constants, which no run changes, is
// done here.
import { CODE, scalar } from './instructions.ts';
import {
  CONDITIONS,
  termsIn,
  type Input,
  type InputOwner,
  type Leaf,
  type Line,
  type Made,
  type Term,
} from './term.ts';

const { add, mul, sub, div, pow, min, max } = CODE;

/**
 * A value that a program receives before it runs: a figure that differs by world, or a line computed elsewhere.
 */
export type External = (Leaf & { readonly input: Input }) | Line;

/** A list of numbers that is filled anew for each program and keeps its memory from one to the next. */
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

/** Number of the program being compiled: the register that a term noted for an older program no longer holds. */
let compilation = 0;

const isInput = (leaf: Leaf): leaf is Leaf & { readonly input: Input } => leaf.input !== null;

function noted(term: Made, register: number): number {
  term.compilation = compilation;
  term.register = register;
  return register;
}

/** How terms are compiled. */
export interface Compiling {
  /** Lines whose values are given instead of computed; by default none. */
  readonly isExternal?: (line: Line) => boolean;
  /** Inputs that may have another value than their central one; by default all except the conditions. */
  readonly varies?: (input: Input) => boolean;
}

/** Writes the instructions of terms, each term once, arithmetic on constants done at once. */
class Compiler {
  readonly externals: External[] = [];
  /** Registers of the externals, in their order. */
  readonly externalRegisters: number[] = [];
  private readonly byValue = new Map<number, number>();
  private readonly byInput = new Map<InputOwner, Map<string, number>>();
  private readonly isExternal: (line: Line) => boolean;
  private readonly varies: (input: Input) => boolean;

  constructor({ isExternal, varies }: Compiling) {
    this.isExternal = isExternal ?? (() => false);
    this.varies = varies ?? (({ of }) => of !== CONDITIONS);
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
    this.externalRegisters.push(register);
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

  /** The register that holds the value of a term. */
  of(term: Term): number {
    if (term.kind === 'leaf') return this.leaf(term);
    return term.compilation === compilation ? term.register : noted(term, this.written(term));
  }

  /** The same for a line that is an output: it is computed even where it could be given. */
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

/** What is compiled, before its instructions are put in order. */
export interface Compiled {
  readonly externals: readonly External[];
  /** Registers of the externals, in their order. */
  readonly externalRegisters: Int32Array;
  readonly code: Int32Array;
  /** Values of the registers that are constants; NaN elsewhere. */
  readonly constants: Float64Array;
  /** Registers of the outputs. */
  readonly outputs: Int32Array;
}

export function compiled(terms: readonly Term[], how: Compiling): Compiled {
  const compiler = new Compiler(how);
  const outputs = Int32Array.from(terms, (term) => compiler.asked(term));
  const { externals, externalRegisters } = compiler;
  return {
    externals,
    externalRegisters: Int32Array.from(externalRegisters),
    code: code.taken(),
    constants: constants.taken(),
    outputs,
  };
}
