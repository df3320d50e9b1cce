// The instructions of a program: arithmetic on one or two figures, for one world, or in one loop over many
// worlds. The caller chooses the instruction by which sides differ from world to world.

const OPS = ['add', 'mul', 'sub', 'div', 'pow', 'min', 'max', 'exp', 'ln', 'log10'] as const;
type Op = (typeof OPS)[number];
export const CODE = Object.fromEntries(OPS.map((op, i) => [op, i])) as Record<Op, number>;
const { add, mul, sub, div, pow, min, max, exp, ln } = CODE;

/** Numbers that make up one instruction: operation, target register, and the registers of both sides. */
export const WIDTH = 4;

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

/** The instruction over all worlds where both sides differ by world. */
export function both(
  op: number,
  to: Float64Array,
  a: Float64Array,
  b: Float64Array,
  n: number,
): void {
  if (op === add) for (let k = 0; k < n; k += 1) to[k] = a[k]! + b[k]!;
  else if (op === mul) for (let k = 0; k < n; k += 1) to[k] = a[k]! * b[k]!;
  else if (op === sub) for (let k = 0; k < n; k += 1) to[k] = a[k]! - b[k]!;
  else if (op === div) for (let k = 0; k < n; k += 1) to[k] = a[k]! / b[k]!;
  else if (op === pow) for (let k = 0; k < n; k += 1) to[k] = a[k]! ** b[k]!;
  else if (op === min) for (let k = 0; k < n; k += 1) to[k] = a[k]! < b[k]! ? a[k]! : b[k]!;
  else for (let k = 0; k < n; k += 1) to[k] = a[k]! > b[k]! ? a[k]! : b[k]!;
}

/** The instruction over all worlds where only the first side differs by world. */
export function first(op: number, to: Float64Array, a: Float64Array, b: number, n: number): void {
  if (op === add) for (let k = 0; k < n; k += 1) to[k] = a[k]! + b;
  else if (op === mul) for (let k = 0; k < n; k += 1) to[k] = a[k]! * b;
  else if (op === sub) for (let k = 0; k < n; k += 1) to[k] = a[k]! - b;
  else if (op === div) for (let k = 0; k < n; k += 1) to[k] = a[k]! / b;
  else if (op === pow) for (let k = 0; k < n; k += 1) to[k] = a[k]! ** b;
  else if (op === min) for (let k = 0; k < n; k += 1) to[k] = a[k]! < b ? a[k]! : b;
  else for (let k = 0; k < n; k += 1) to[k] = a[k]! > b ? a[k]! : b;
}

/** The instruction over all worlds where only the second side differs by world. */
export function second(op: number, to: Float64Array, a: number, b: Float64Array, n: number): void {
  if (op === sub) for (let k = 0; k < n; k += 1) to[k] = a - b[k]!;
  else if (op === div) for (let k = 0; k < n; k += 1) to[k] = a / b[k]!;
  else if (op === pow) for (let k = 0; k < n; k += 1) to[k] = a ** b[k]!;
  else first(op, to, b, a, n);
}

export function single(op: number, to: Float64Array, a: Float64Array, n: number): void {
  if (op === exp) for (let k = 0; k < n; k += 1) to[k] = Math.exp(a[k]!);
  else if (op === ln) for (let k = 0; k < n; k += 1) to[k] = Math.log(a[k]!);
  else for (let k = 0; k < n; k += 1) to[k] = Math.log10(a[k]!);
}
