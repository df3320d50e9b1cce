// How warnings, hop creep and the shelf come out as text.
import { expect, it } from 'vitest';
import { predict } from '#engine/answer/answer.ts';
import { designOf } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import type { Schedule } from '#shared/schemas/brief.ts';
import { creepLines, shelfLines, warningLines } from '../../src/cli/print/outlook.ts';

function outlook(grams: number, co2_vol?: number) {
  const schedule: Schedule = {
    name: '',
    batch: { beer_l: 20, yeast: 'standard', malt_g_per_l: 200, ...(co2_vol && { co2_vol }) },
    stages: { dry_hop: { temp_c: 16, hours: 72, mixed: false, live_yeast: false } },
    additions: [{ hop: 'Citra', form: 'pellet_90', stage: 'dry_hop', grams }],
  };
  const design = designOf(model, schedule);
  if (!design.ok) throw new Error(JSON.stringify(design.problems));
  return predict(model, design.value, { samples: 20, seed: 1 });
}

it('a danger is reported first and in capitals, with its source', () => {
  const [head, first] = warningLines(outlook(100, 2.6));
  expect(head).toBe('Worth a second look:');
  expect(first).toMatch(/^- DANGER: Hop creep/);
  expect(warningLines(outlook(100, 2.6)).join(' ')).toContain('HOPQ18');
});

it('hop creep tells the pressure only where carbonation is planned', () => {
  const planned = creepLines(outlook(100, 2)).join(' ');
  // 5 g/L set 1 P free: 2.5 volumes on 2 make 4.5, 4.05 bar at 20 C.
  expect(planned).toContain('4.5 volumes');
  expect(planned).toContain('4.05 bar');
  expect(creepLines(outlook(100)).join(' ')).toContain('Give batch.co2_vol');
  expect(creepLines(outlook(0))).toEqual([]);
});

it('the shelf is a table of months, weak notes left out', () => {
  const lines = shelfLines(outlook(100));
  expect(lines[0]).toContain('20 C');
  expect(lines[1]).toMatch(/fresh +1 mo +3 mo +6 mo/);
  expect(lines.some((line) => line.startsWith('citrus'))).toBe(true);
  expect(lines.at(-1)).toMatch(
    /^Best for \d+ weeks? in the package .*: by then \w+ has lost 0\.3\.$/,
  );
});
