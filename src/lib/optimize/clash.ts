// Hard limits that no blend at all can keep: finds a smallest set of them that clash, by dropping
// one limit after another and keeping dropped those without which the clash remains.
import type { Problem } from '#shared/outcome.ts';
import type { BlendProblem } from './problem.ts';
import { allowedBlend } from './nearest.ts';

/** Names the limits that clash; call only for a problem whose hard limits cannot be met. */
export function clashOf(problem: BlendProblem): Problem {
  let limits = [...problem.limits];
  for (const limit of problem.limits) {
    const without = limits.filter((l) => l !== limit);
    if (!allowedBlend({ ...problem, limits: without })) limits = without;
  }
  const names = [...new Set(limits.map((l) => l.name))];
  if (problem.required.length > 0) {
    names.push(`limits.require (${problem.required.map((v) => problem.varieties[v]).join(', ')})`);
  }
  return {
    path: 'limits',
    message: `no blend at all keeps these together: ${names.join(', ')}`,
    cure: 'Loosen one of them',
  };
}
