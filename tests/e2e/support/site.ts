// Serves the built site for one run of the journeys, on whatever port is free.
import { sentence } from '#shared/outcome.ts';
import { serveSite } from '../../../src/serve/server.ts';

export default async function startSite(): Promise<() => Promise<void>> {
  const site = await serveSite(4300);
  if (!site.ok) throw new Error(site.problems.map((p) => sentence('build', p)).join('\n'));
  // Nothing is compressed: on one machine that takes longer than to send it as it is.
  site.value.http.prependListener('request', ({ headers }) => delete headers['accept-encoding']);
  process.env['SITE_URL'] = site.value.url;
  return site.value.close;
}
