// `npm run apart -- COUNT SEED STEPS`: drawn ordeals of four devices over a server in a process of its own; then
// one device that writes 500 times while the server is killed. Prints what happened and what was lost.
import { spawn, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { FREEZER_PATH, type FreezerKey } from '#shared/freezer-terms.ts';
import { FreezerFile } from '../../src/serve/freezer-file.ts';
import { LinkedDevice, type KillableServer } from '../sharing/linked.ts';
import { lot } from '../storage/browser-store.ts';
import { ordeal } from './apart.ts';

const SERVER = fileURLToPath(new URL('freezer-process.ts', import.meta.url));

class ServerProcess implements KillableServer {
  readonly folder = mkdtempSync(join(tmpdir(), 'freezer-'));
  readonly key: FreezerKey;
  #child: ChildProcess | null = null;
  #port = 0;

  constructor() {
    const file = FreezerFile.open(this.folder);
    if (!file.ok) throw new Error(file.problems[0]!.message);
    this.key = file.value.key;
  }

  get url(): string {
    return `ws://127.0.0.1:${this.#port}${FREEZER_PATH}`;
  }

  async start(): Promise<void> {
    const args = ['--import', 'tsx', SERVER, this.folder, String(this.#port)];
    const child = spawn(process.execPath, args, { stdio: ['ignore', 'pipe', 'ignore'] });
    this.#child = child;
    this.#port = await new Promise<number>((listening, failed) => {
      child.stdout.once('data', (data: Buffer) => listening(Number(data.toString())));
      child.once('exit', () => failed(new Error('the server did not start')));
    });
  }

  async stop(isKilled = false): Promise<void> {
    const child = this.#child;
    if (!child) return;
    this.#child = null;
    const ended = new Promise((gone) => child.once('exit', gone));
    child.kill(isKilled ? 'SIGKILL' : 'SIGTERM');
    await ended;
  }

  async end(): Promise<void> {
    await this.stop(true);
    rmSync(this.folder, { recursive: true });
  }
}

const [count = 200, seed = 1, steps = 60] = process.argv.slice(2).map(Number);
const begun = performance.now();
const events = new Map<string, number>();
let lost = 0;
for (let i = 0; i < count; i += 1) {
  const server = new ServerProcess();
  await server.start();
  const { events: own, faults } = await ordeal(seed + i, server, steps);
  await server.end();
  for (const [name, times] of Object.entries(own))
    events.set(name, (events.get(name) ?? 0) + times);
  if (faults.length > 0) {
    lost += 1;
    console.log(`seed ${seed + i}: ${faults.slice(0, 5).join('; ')}`);
  }
  if ((i + 1) % 20 === 0) console.log(`${i + 1} ordeals, ${lost} not equal`);
}
const seconds = (performance.now() - begun) / 1000;
console.log(
  `${count} ordeals of ${steps} steps in ${seconds.toFixed(0)} s: ${lost} not equal or incomplete`,
);
console.log([...events].map(([name, times]) => `${name} ${times}`).join(', '));

const server = new ServerProcess();
await server.start();
const [one, other] = ['one', 'other'].map((name) => new LinkedDevice(name, server)) as [
  LinkedDevice,
  LinkedDevice,
];
one.link();
other.link();
let killed = 0;
for (let i = 0; i < 500; i += 1) {
  one.edit({ [`lot:n${i}`]: lot(`n${i}`, 'Saaz') });
  await one.step();
  if (i % 125 === 60) {
    killed = i;
    await server.stop(true);
    await server.start();
  }
}
const again = performance.now();
while (other.keys('lot:').length < 500 && performance.now() - again < 60_000) {
  await new Promise((on) => setTimeout(on, 5));
}
const ms = (performance.now() - again).toFixed(0);
console.log(
  `500 writes, the server killed 4 times (last at ${killed}): the other has ${other.keys('lot:').length} lots ${ms} ms after the last write`,
);
one.unlink();
other.unlink();
await server.end();
process.exit(lost > 0 || other.keys('lot:').length < 500 ? 1 : 0);
