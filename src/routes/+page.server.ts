// Runs once, at build time: the first design arrives solved.
import { model } from '#engine/tables/model.ts';
import { evidenceOf } from '#engine/evidence/evidence.ts';
import type { PageServerLoad } from './$types';
import { firstAnswer, firstReach } from './starter.server.ts';

export const load: PageServerLoad = () => ({
  designed: {
    answer: firstAnswer,
    evidence: firstAnswer.blends.map((blend) => evidenceOf(model, blend.additions)),
  },
  reach: firstReach,
  hops: model.hops.map((hop) => hop.name),
  offered: model.hops.filter((hop) => hop.missing.length === 0).length,
});
