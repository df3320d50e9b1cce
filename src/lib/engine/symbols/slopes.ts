// How much each output of a program changes with each external: the chain rule, applied backwards through the
// instructions once for each output (reverse accumulation). Exact except for rounding.
import { CODE, scalar, WIDTH } from './instructions.ts';
import type { Program } from './program.ts';

const { add, mul, sub, div, pow, min, max, exp, ln } = CODE;

/** Runs a program in one world and keeps the steps of the last run. */
export class Slopes {
  private readonly program: Program;
  private readonly registers: Float64Array;
  /** By register, the slopes of the output that was asked for last. */
  private readonly slopes: Float64Array;

  constructor(program: Program) {
    this.program = program;
    this.registers = program.constants.slice();
    this.slopes = new Float64Array(this.registers.length);
  }

  /** Runs the program. @param values of the externals, in the order of the program. */
  at(values: readonly number[]): this {
    const { program, registers } = this;
    program.externalRegisters.forEach((register, i) => (registers[register] = values[i]!));
    const { code } = program;
    for (let at = 0; at < code.length; at += WIDTH) {
      const left = registers[code[at + 2]!]!;
      registers[code[at + 1]!] = scalar(code[at]!, left, registers[code[at + 3]!]!);
    }
    return this;
  }

  value(output: number): number {
    return this.registers[this.program.outputs[output]!]!;
  }

  /** Slopes of an output by the externals, in their order; at a corner, the slopes of one side. */
  of(output: number): Float64Array {
    const { code, outputs, externalRegisters } = this.program;
    const { registers, slopes } = this;
    slopes.fill(0);
    slopes[outputs[output]!] = 1;
    for (let at = code.length - WIDTH; at >= 0; at -= WIDTH) {
      const slope = slopes[code[at + 1]!]!;
      if (slope === 0) continue;
      const op = code[at]!;
      const [left, right] = [code[at + 2]!, code[at + 3]!];
      const [a, b] = [registers[left]!, registers[right]!];
      const value = registers[code[at + 1]!]!;
      if (op === add || op === sub) {
        slopes[left]! += slope;
        slopes[right]! += op === add ? slope : -slope;
      } else if (op === mul) {
        slopes[left]! += slope * b;
        slopes[right]! += slope * a;
      } else if (op === div) {
        slopes[left]! += slope / b;
        slopes[right]! -= (slope * value) / b;
      } else if (op === pow) {
        // At 0 a power has an infinite slope or none; it is taken as 0.
        if (a > 0) {
          slopes[left]! += (slope * b * value) / a;
          slopes[right]! += slope * value * Math.log(a);
        }
      } else if (op === min) slopes[a < b ? left : right]! += slope;
      else if (op === max) slopes[a > b ? left : right]! += slope;
      else if (op === exp) slopes[left]! += slope * value;
      else if (op === ln) slopes[left]! += slope / a;
      else slopes[left]! += slope / (a * Math.LN10);
    }
    return Float64Array.from(externalRegisters, (register) => slopes[register]!);
  }
}
