// The wishes gone through before a drag are such as a brief may have, and each differs from it in one axis.
import { expect, it } from 'vitest';
import { SEED_BRIEFS } from '#seeds/index.ts';
import { AXES } from '#shared/ids.ts';
import { briefSchema } from '#shared/schemas/brief.ts';
import { wishesAround } from '#optimize/live/wishes-around.ts';

it.each(SEED_BRIEFS.map(({ brief }) => brief))('wishes around $name', (brief) => {
  const around = wishesAround(brief.target);
  for (const target of around) {
    expect(briefSchema.safeParse({ ...brief, target }).error).toBeUndefined();
    const moved = AXES.filter((axis) => target[axis] !== brief.target[axis]);
    expect(moved).toHaveLength(1);
  }
  for (const axis of AXES) expect(around.some((t) => t[axis] !== brief.target[axis])).toBe(true);
});
