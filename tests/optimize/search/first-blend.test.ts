// How soon a real blend is found where each hop comes in many lots, counted in work done: until one is known
// nothing can be dropped, and every node is rounded.
import { expect, it } from 'vitest';
import { Search } from '#optimize/search/search.ts';
import { randomBrief, soundProblem } from '../support/instances.ts';

it('finds a first blend among a thousand lots without looking at all of them again and again', () => {
  let effort = 0;
  for (const seed of [5003, 5010, 5019]) {
    const brief = randomBrief(seed, {
      ...{ hops: 100, lotsPerHop: 10, forms: 1, wishes: 4, beerL: 40, ibu: true },
      ...{ stages: ['mash', 'hot_steep', 'dry_hop'], hopsAtMost: 5, smallest: 10, step: 1 },
    });
    const search = new Search(soundProblem(brief), 'objective', 0, 0);
    while (!search.incumbent && search.step());
    expect(search.incumbent).not.toBeNull();
    effort += search.program.effort.total;
  }
  // Seen: 1.3 million; 11.9 million where doses are settled with the lots of all hops in play.
  expect(effort).toBeLessThan(3e6);
});
