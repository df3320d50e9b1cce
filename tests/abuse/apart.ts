// Four devices and a server that are parted, killed and joined at random: in the end all hold the same, and no
// entry is lost. `npm run apart -- COUNT SEED` for as many as wanted, with a server of its own process that is
// killed outright.
import { savedBatchSchema } from '#shared/schemas/batch.ts';
import { randomFrom } from '#engine/doubt/sampling.ts';
import { lot } from '../storage/browser-store.ts';
import { PLANNED } from '../sharing/device.ts';
import { LinkedDevice, type KillableServer } from '../sharing/linked.ts';

const START_G = 1_000_000;
/** A machine may be slow; what never becomes equal is a fault. */
const SETTLE_MS = 60_000;

/** Whole numbers below one, the same each time. */
function drawing(seed: number): (below: number) => number {
  const { uniform } = randomFrom(seed);
  return (below) => Math.floor(uniform() * below);
}

/** What must be there in the end. */
interface Books {
  grams: number;
  readonly keys: Set<string>;
  readonly tasters: Map<string, Set<string>>;
}

export interface Ordeal {
  readonly events: Readonly<Record<string, number>>;
  /** What is wrong in the end; empty: all is well. */
  readonly faults: readonly string[];
}

const pause = (ms: number) => new Promise((on) => setTimeout(on, ms));

function edit(
  device: LinkedDevice,
  n: number,
  draw: (below: number) => number,
  books: Books,
): string {
  const a = device.lot('a');
  const grams = 1 + draw(50);
  const own = [...device.keys('batch:')];
  switch (draw(6)) {
    case 0: {
      if (!a) return 'nothing';
      const drawn = [{ lot: 'a', grams }];
      const batch = savedBatchSchema.parse({
        id: `b${n}`,
        name: `b${n}`,
        planned: PLANNED,
        brewed: PLANNED,
        drawn,
      });
      device.edit({
        'lot:a': { ...a, grams_on_hand: (a.grams_on_hand! - grams) as never },
        [`batch:b${n}`]: batch,
      });
      books.grams -= grams;
      books.keys.add(`batch:b${n}`);
      return 'draw';
    }
    case 1:
      if (!a) return 'nothing';
      device.edit({ 'lot:a': { ...a, grams_on_hand: (a.grams_on_hand! + grams) as never } });
      books.grams += grams;
      return 'count';
    case 2:
      device.edit({ [`lot:n${n}`]: lot(`n${n}`, 'Saaz', { grams_on_hand: grams as never }) });
      books.keys.add(`lot:n${n}`);
      return 'add a lot';
    case 3: {
      const key = own[draw(Math.max(1, own.length))];
      const batch = key === undefined ? null : device.batch(key.slice('batch:'.length));
      if (key === undefined || !batch) return 'nothing';
      const tasting = { taster: `t${n}`, order: 1, scores: { citrus: 4 } };
      device.edit({ [key]: { ...batch, tastings: [...batch.tastings, tasting] as never } });
      if (!books.tasters.has(key)) books.tasters.set(key, new Set());
      books.tasters.get(key)!.add(`t${n}`);
      return 'taste';
    }
    case 4:
      if (!a) return 'nothing';
      device.edit({ 'lot:a': { ...a, note: `${n}` } });
      return 'note';
    default:
      if (device.lot('gone')) device.edit({ 'lot:gone': null });
      else device.edit({ 'lot:gone': lot('gone', 'Tettnang', { note: `${n}` }) });
      return 'remove or bring back';
  }
}

/** One ordeal over a server that is there already. */
export async function ordeal(seed: number, server: KillableServer, steps: number): Promise<Ordeal> {
  const draw = drawing(seed);
  const events: Record<string, number> = {};
  const devices = [0, 1, 2, 3].map((i) => new LinkedDevice(`d${seed}-${i}`, server));
  const books: Books = { grams: START_G, keys: new Set(['lot:a']), tasters: new Map() };
  let isUp = true;
  try {
    devices[0]!.edit({ 'lot:a': lot('a', 'Citra', { grams_on_hand: START_G as never }) });
    for (const device of devices) device.link();
    await settled(devices, books);
    for (let n = 0; n < steps; n += 1) {
      const device = devices[draw(4)]!;
      const done = await happen(device, n);
      events[done] = (events[done] ?? 0) + 1;
    }
    if (!isUp) await server.start();
    for (const device of devices) device.link();
    const faults = await settled(devices, books);
    return { events, faults };
  } finally {
    for (const device of devices) device.unlink();
  }

  async function happen(device: LinkedDevice, n: number): Promise<string> {
    switch (draw(12)) {
      case 0:
        device.unlink();
        return 'part';
      case 1:
        device.link();
        return 'join';
      case 2:
        device.kill();
        return 'kill a device';
      case 3:
        if (isUp) await server.stop(true);
        else await server.start();
        isUp = !isUp;
        return isUp ? 'start the server' : 'kill the server';
      case 4:
        device.store.failing = 1;
        return 'fill a disk';
      case 5:
        await pause(draw(30));
        return 'wait';
      default: {
        const done = edit(device, n, draw, books);
        if (draw(3) > 0) void device.step();
        return done;
      }
    }
  }
}

/** Waits until all hold the same, and all that the books say; tells what is still missing. */
async function settled(devices: readonly LinkedDevice[], books: Books): Promise<string[]> {
  const end = performance.now() + SETTLE_MS;
  for (;;) {
    for (const device of devices) await device.step();
    const faults = missing(devices, books);
    if (faults.length === 0 || performance.now() > end) return faults;
    await pause(10);
  }
}

function missing(devices: readonly LinkedDevice[], { grams, keys, tasters }: Books): string[] {
  const faults: string[] = [];
  const [first, ...others] = devices.map((device) => JSON.stringify(device.kept()));
  if (others.some((other) => other !== first)) faults.push('the devices hold different things');
  for (const device of devices) {
    const has = device.lot('a')?.grams_on_hand;
    if (has !== grams) faults.push(`${device.name} has ${has} g, the books say ${grams} g`);
    for (const key of keys) if (!device.part(key)) faults.push(`${device.name} lost ${key}`);
    for (const [key, names] of tasters) {
      const kept = new Set(device.batch(key.slice('batch:'.length))?.tastings.map((t) => t.taster));
      for (const name of names)
        if (!kept.has(name)) faults.push(`${device.name} lost the tasting of ${name}`);
    }
  }
  return faults;
}
