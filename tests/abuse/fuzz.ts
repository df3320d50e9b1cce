// `npm run fuzz -- [count] [seed] [first] [kind,kind]`: as many hostile texts as wanted through every reader.
// Says what was run, what broke and which text took longest; fails when a law breaks or a text takes more
// than half a second of the processor.
import { KINDS, runCase, type Kind } from './readers.ts';

const SLOW_MS = 500;
const SHOWN = 20;

const [count = 1_000_000, seed = 1, first = 0] = process.argv.slice(2, 5).map(Number);
const only = process.argv[5]?.split(',');
const kinds: readonly Kind[] = KINDS.filter((kind) => only === undefined || only.includes(kind));
if (![count, seed, first].every(Number.isInteger) || kinds.length === 0) {
  console.error(
    `Give whole numbers for count, seed and first case, and one of ${KINDS.join(', ')}.`,
  );
  process.exit(2);
}

const busyMs = () => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

let [broken, letters, taken] = [0, 0, 0];
const slowest = { ms: 0, name: '' };
const begun = busyMs();
for (let number = 0; number < count; number += 1) {
  const kind = kinds[number % kinds.length]!;
  const at = first + Math.floor(number / kinds.length);
  const before = busyMs();
  try {
    const ran = await runCase(kind, seed, at);
    letters += ran.text.length;
    if (ran.taken) taken += 1;
  } catch (fault) {
    broken += 1;
    if (broken <= SHOWN) console.error((fault as Error).message);
  }
  const ms = busyMs() - before;
  if (ms > slowest.ms) Object.assign(slowest, { ms, name: `${kind}, case ${at}` });
  if ((number + 1) % 100_000 === 0) console.log(`${number + 1} of ${count}, ${broken} broken`);
}
console.log(
  `${count} texts of ${kinds.join(', ')} with seed ${seed} from case ${first}, ${(letters / 1e6).toFixed(0)} million characters: ${taken} taken, ${broken} broken; ` +
    `${((busyMs() - begun) / 1000).toFixed(0)} s of the processor, the longest ${slowest.ms.toFixed(0)} ms (${slowest.name}).`,
);
process.exitCode = broken > 0 || slowest.ms > SLOW_MS ? 1 : 0;
