// `npm start`: builds the site, serves it on this machine and says where.
// PORT chooses the port; without it 4173, or the next free one.
import { sentence } from '#shared/outcome.ts';
import { build } from 'vite';
import { portOf } from './port.ts';
import { serveSite } from './server.ts';

const port = portOf(process.env['PORT']);
if (!port.ok) {
  console.error(port.problems.map((p) => sentence('PORT', p)).join('\n'));
  process.exit(2);
}

console.log('Building the site ...');
const begun = performance.now();
await build({ logLevel: 'warn' });
console.log(`Built in ${((performance.now() - begun) / 1000).toFixed(1)} s.`);

const site = await serveSite(port.value);
if (!site.ok) {
  console.error(site.problems.map((p) => sentence('build', p)).join('\n'));
  process.exit(1);
}
console.log(`Blendbine is at ${site.value.url} (this machine only). Ctrl+C stops it.`);
