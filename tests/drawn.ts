// Fixes what property tests draw, so that a run on another machine or day tries the same cases.
// `DRAWN_SEED=n npx vitest run --project unit` tries others.
import fc from 'fast-check';

const asked = Number(process.env['DRAWN_SEED'] ?? NaN);

fc.configureGlobal({ seed: Number.isSafeInteger(asked) ? asked : 2026 });
