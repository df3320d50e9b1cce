// A split loses no blend: whatever a node holds, one of its parts holds, and the relaxed blend that led to
// the split is in none.
import { describe, expect, it } from 'vitest';
import { randomFrom, type Random } from '#engine/doubt/sampling.ts';
import { finished } from '#optimize/pacing/clock.ts';
import type { Doses } from '#optimize/problem/doses.ts';
import type { BlendProblem } from '#optimize/problem/problem.ts';
import { MasterProgram } from '#optimize/relaxation/master-program.ts';
import type { Node } from '#optimize/relaxation/node.ts';
import { byGroups } from '#optimize/search/branching.ts';
import { between, randomBrief, soundProblem } from '../support/instances.ts';

/** Lots of two hops, no more of each than a few doses. */
function lots(seed: number): BlendProblem {
  const brief = randomBrief(seed, {
    hops: 2,
    lotsPerHop: 20,
    forms: 1,
    stages: ['mash', 'hot_steep', 'dry_hop'],
    wishes: 4,
    beerL: 40,
    stock: true,
    smallest: 10,
    step: 1,
  });
  return soundProblem(brief);
}

/** A blend of some columns, each with at least the least dose. */
function blendOf(problem: BlendProblem, among: readonly number[], random: Random): Doses {
  const columns = among.filter((j) => problem.columns[j]!.most >= problem.least);
  const doses = columns.map((j) => between(random, problem.least, problem.columns[j]!.most));
  return { columns, doses };
}

/** Whether a node holds doses, by what this split may have decided. */
function holds(node: Node, { columns, doses }: Doses): boolean {
  if (node.columns && columns.some((j) => !node.columns!.includes(j))) return false;
  const group = node.decisions?.kind === 'some' ? node.decisions.group : null;
  if (!group) return true;
  const sum = columns.reduce((all, j, k) => all + (group.has(j) ? doses[k]! : 0), 0);
  return sum >= group.least * (1 - 1e-9);
}

describe('columns of a hop at a stage, none or one at least', () => {
  it('are split so that each blend is in one part, and the relaxed one in none', () => {
    let splits = 0;
    for (let seed = 1; seed <= 50; seed += 1) {
      const problem = lots(7800 + seed);
      const random = randomFrom(seed / 1e3);
      const program = new MasterProgram(problem, 0);
      const load = between(random, 0, problem.loadMax / 8);
      const caps = (problem.bitter?.terms ?? []).map(() => 'open' as const);
      const node: Node = { interval: { from: load, to: load }, decisions: null, caps };
      const relaxed = finished(program.leastObjective(node, null, Infinity));
      if (relaxed.status !== 'solved') continue;
      const parts = byGroups(problem, node, relaxed);
      if (!parts) continue;
      splits += 1;
      for (const part of parts) expect(holds(part.node, relaxed.doses)).toBe(false);
      for (let round = 0; round < 20; round += 1) {
        const among = [...problem.columns.keys()].filter(() => random.uniform() < 0.03);
        const blend = blendOf(problem, among, random);
        expect(parts.filter((part) => holds(part.node, blend))).toHaveLength(1);
      }
      // What a part is proven to cost is no less than the whole.
      for (const { node: part } of parts) {
        const bound = finished(program.leastObjective(part, relaxed.basis, Infinity)).bound;
        expect(bound).toBeGreaterThanOrEqual(relaxed.bound * (1 - 1e-9));
      }
    }
    expect(splits).toBeGreaterThan(10);
  });
});
