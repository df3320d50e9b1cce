// Loading step from when the search ran on a WebAssembly solver; it now carries its own simplex and
// needs nothing loaded. Kept only until no caller asks for it.
export type Solver = null;

export function loadSolver(..._from: readonly unknown[]): Promise<Solver> {
  return Promise.resolve(null);
}
