// Runs once, at build time: every figure of the varieties and what each gives alone on every axis, rounded to what
// the page shows.
import { model } from '#engine/tables/model.ts';
import { hopRowOf } from '#state/reference/hop-rows.ts';
import { sentRows } from '#state/reference/sent-rows.ts';
import type { PageServerLoad } from './$types';

export const load: PageServerLoad = () => ({
  sent: sentRows(model.hops.map((hop) => hopRowOf(model, hop))),
});
