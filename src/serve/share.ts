// `npm run share`: serves the page and a freezer that several devices share, at an address of this machine that
// the person names, and shows the link and the code that admit a device. Nothing leaves the local network.
import { readFileSync } from 'node:fs';
import { networkInterfaces } from 'node:os';
import { resolve } from 'node:path';
import { createInterface } from 'node:readline/promises';
import { parseArgs } from 'node:util';
import { renderUnicodeCompact } from 'uqr';
import { build } from 'vite';
import { freezerFragment } from '#shared/freezer-terms.ts';
import { sentence, type Outcome } from '#shared/outcome.ts';
import { FreezerFile } from './freezer-file.ts';
import { FreezerServer } from './freezer-server.ts';
import { BUILD_FOLDER, LOOPBACK, serveSite, type ServedAt } from './server.ts';
import { portOf, USUAL_PORT } from './port.ts';

const HELP = `npm run share -- [options]
  --host ADDRESS   the address of this machine to listen on; asked for if left out
  --port N         first port to try (${USUAL_PORT} if left out)
  --folder DIR     where the freezer and its key are kept (shared-freezer)
  --cert FILE, --key FILE
                   a certificate and its key: the page then comes by HTTPS, works offline on
                   phones, and can be installed (src/serve/README.md)
  --name NAME      the name in the certificate, for the link
  --new-key        makes a new link; those given out before open the freezer no longer
  --built          serves build/ as it is instead of building anew`;

function stop(message: string): never {
  console.error(message);
  process.exit(2);
}

function valueOf<T>(source: string, outcome: Outcome<T>): T {
  if (outcome.ok) return outcome.value;
  return stop(outcome.problems.map((p) => sentence(source, p)).join('\n'));
}

function options() {
  try {
    return parseArgs({
      options: {
        host: { type: 'string' },
        port: { type: 'string' },
        folder: { type: 'string', default: 'shared-freezer' },
        cert: { type: 'string' },
        key: { type: 'string' },
        name: { type: 'string' },
        'new-key': { type: 'boolean', default: false },
        built: { type: 'boolean', default: false },
        help: { type: 'boolean', default: false },
      },
    }).values;
  } catch (error) {
    return stop(`${(error as Error).message}\n${HELP}`);
  }
}

/** The addresses of this machine, those that other devices can most likely reach first. */
function addresses(): string[] {
  const all = Object.values(networkInterfaces()).flatMap((list) => list ?? []);
  const reachable = all.filter(({ family, internal }) => family === 'IPv4' && !internal);
  return [...reachable.map(({ address }) => address), LOOPBACK];
}

async function hostAsked(): Promise<string> {
  const list = addresses();
  if (!process.stdin.isTTY) {
    return stop(`Say where to listen: --host ${list.join(' or --host ')}.`);
  }
  console.log('On which address of this machine may other devices find the freezer?');
  list.forEach((address, i) => {
    console.log(`  ${i + 1}  ${address}${address === LOOPBACK ? '  (this machine only)' : ''}`);
  });
  const line = createInterface({ input: process.stdin, output: process.stdout });
  const answer = (await line.question('Number [1]: ')).trim();
  line.close();
  const chosen = list[(answer === '' ? 1 : Number(answer)) - 1];
  return chosen ?? stop(`"${answer}" is none of them. Give a number from 1 to ${list.length}.`);
}

function certificateOf(cert: string | undefined, key: string | undefined) {
  if (cert === undefined && key === undefined) return {};
  if (cert === undefined || key === undefined) {
    return stop('A certificate needs its key. Give --cert FILE and --key FILE.');
  }
  try {
    return { certificate: { cert: readFileSync(cert), key: readFileSync(key) } };
  } catch (error) {
    return stop(`${(error as Error).message}. Check the paths of --cert and --key.`);
  }
}

const asked = options();
if (asked.help) {
  console.log(HELP);
  process.exit(0);
}
const port = valueOf('--port', portOf(asked.port));
const file = valueOf('--folder', FreezerFile.open(resolve(asked.folder), asked['new-key']));
const certificate = certificateOf(asked.cert, asked.key);
const at: ServedAt = { host: asked.host ?? (await hostAsked()), ...certificate };

if (!asked.built) {
  console.log('Building the site ...');
  await build({ logLevel: 'warn' });
}
const site = valueOf('--host', await serveSite(port, BUILD_FOLDER, at));
const freezer = new FreezerServer(site.http, file);

const address = new URL(site.url);
if (asked.name !== undefined) address.hostname = asked.name;
const link = `${address.href}${freezerFragment(file.key)}`;
console.log(`The shared freezer is open. Any device of this network joins by this link or code:

${link}

${renderUnicodeCompact(link)}

Whoever has the link may read and change everything in it: pass it on like a key.
It is kept in ${resolve(asked.folder)}. To lock a lost device out, start it once with --new-key.
Ctrl+C stops it; devices go on by themselves and join again later.`);

for (const signal of ['SIGINT', 'SIGTERM'] as const) {
  process.once(signal, () => {
    void freezer
      .close()
      .then(() => site.close())
      .finally(() => process.exit(0));
  });
}
