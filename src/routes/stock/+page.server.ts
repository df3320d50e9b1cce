// Runs once, at build time: the names a lot may have.
import { model } from '#engine/tables/model.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = () => ({ hops: model.hops.map((hop) => hop.name) });
