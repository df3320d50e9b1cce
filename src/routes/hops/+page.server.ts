// Runs once, at build time: every figure of the varieties and what each gives alone on every axis, cut
// to what the page shows.
import { model } from '#engine/tables/model.ts';
import { hopRowOf } from '#state/reference/hop-rows.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = () => ({ rows: model.hops.map((hop) => hopRowOf(model, hop)) });
