// Runs once for each variety, at build time: the content of its page, so that the page carries no hop table.
import { error } from '@sveltejs/kit';
import { model } from '#engine/tables/model.ts';
import { hopPage } from '#ui/hops/hop-page.ts';
import type { EntryGenerator, PageServerLoad } from './$types';

export const entries: EntryGenerator = () => model.hops.map(({ id }) => ({ hop: id }));

export const load: PageServerLoad = ({ params }) => {
  const hop = model.hops.find(({ id }) => id === params.hop);
  if (!hop) error(404, `The hop table has no variety "${params.hop}"`);
  return hopPage(model, hop);
};
