// `npm start`: builds the site, serves it on this machine and says where.
// PORT chooses the port; without it 4173, or the next free one.
import { sentence } from '#shared/outcome.ts';
import { build } from 'vite';
import { serveSite } from './server.ts';

const USUAL_PORT = 4173;
const PORT_MAX = 65_535;

/** The port asked for; `undefined` when PORT is set to something that is no port. */
function wantedPort(text: string | undefined): number | undefined {
  if (text === undefined || text === '') return USUAL_PORT;
  const port = Number(text);
  return Number.isInteger(port) && port >= 0 && port <= PORT_MAX ? port : undefined;
}

const port = wantedPort(process.env['PORT']);
if (port === undefined) {
  console.error(
    `PORT: "${process.env['PORT']}" is not a port. Give a whole number, 0 to ${PORT_MAX}.`,
  );
  process.exit(2);
}

console.log('Building the site ...');
const begun = performance.now();
await build({ logLevel: 'warn' });
console.log(`Built in ${((performance.now() - begun) / 1000).toFixed(1)} s.`);

const site = await serveSite(port);
if (!site.ok) {
  console.error(site.problems.map((p) => sentence('build', p)).join('\n'));
  process.exit(1);
}
console.log(`Blendbine is at ${site.value.url} (this machine only). Ctrl+C stops it.`);
