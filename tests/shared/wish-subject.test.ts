// The paths by which answers name wishes and limits: what is written is read back as it was, and what no
// answer has is not taken for something else.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { AXES } from '#shared/ids.ts';
import { wishPath, wishSubject, type WishSubject } from '#shared/answers/wish-subject.ts';
import { limitsSchema, type LimitFigure } from '#shared/schemas/brief.ts';
import { STAGE_LIMITS } from '#shared/schemas/stage-limits.ts';

const FIGURES = Object.keys(limitsSchema.shape).filter(
  (name) => !['ban', 'require', 'forms', ...STAGE_LIMITS].includes(name),
) as LimitFigure[];
const hop = fc.string({ minLength: 1 }).filter((name) => !/[\n\r\u2028\u2029]/.test(name));
const subjects: fc.Arbitrary<WishSubject> = fc.oneof(
  fc.record({ kind: fc.constant('axis' as const), axis: fc.constantFrom(...AXES) }),
  fc.record({ kind: fc.constant('limit' as const), limit: fc.constantFrom(...FIGURES) }),
  fc.record({ kind: fc.constant('forms' as const) }),
  fc.record({
    kind: fc.constantFrom('stage' as const, 'stage_forms' as const),
    stage: fc.stringMatching(/^[a-z][a-z0-9_]*$/),
  }),
  fc.record({ kind: fc.constant('stock' as const), hop }),
  fc.record({ kind: fc.constant('required' as const), hop }),
  fc.record({
    kind: fc.constant('listed' as const),
    list: fc.constantFrom('require' as const, 'ban' as const),
    at: fc.nat(),
  }),
);

it('reads back what it wrote', () => {
  fc.assert(
    fc.property(subjects, (of) => {
      expect(wishSubject(wishPath(of))).toEqual(of);
    }),
  );
});

it.each(['target.beauty', 'limits.colour_at_most', 'limits.require', 'ibu_at_most', ''])(
  'makes nothing of "%s"',
  (path) => {
    expect(wishSubject(path)).toBeNull();
  },
);

it('names every limit that is one figure', () => {
  expect(FIGURES.map((limit) => wishPath({ kind: 'limit', limit }))).toContain(
    'limits.ibu_at_most',
  );
});
