// `npm run kills -- [kills] [leaves] [seed]`: kills the page so many times while it is edited, leaves
// it so many times each way right after an edit, and prints what was lost. Needs the site built.
import { sentence } from '#shared/outcome.ts';
import { serveSite } from '../../src/serve/server.ts';
import { Killing, KILLS, LEAVES, type Round } from './killing.ts';

const [kills = 1000, leaves = 60, seed = Date.now() % 100_000] = process.argv.slice(2).map(Number);
/** An edit may be lost only where it is younger than this, ms. */
const MOST_BEHIND_MS = 1000;

const site = await serveSite(4300);
if (!site.ok) throw new Error(site.problems.map((p) => sentence('build', p)).join('\n'));
const killing = new Killing(site.value.url, seed);
const rounds: Round[] = [];
function tell(how: Round['how']): void {
  const its = rounds.filter((round) => round.how === how);
  const behind = Math.max(0, ...its.map((round) => round.behindMs));
  const made = its.reduce((sum, round) => sum + round.made, 0);
  const lost = its.reduce((sum, round) => sum + round.lost, 0);
  const hit = its.filter((round) => round.lost > 0).length;
  console.log(
    `${how}: ${its.length} times, ${its.filter((r) => r.broken !== null).length} broken; of ${made} edits ${lost} lost in ${hit} rounds, the oldest ${Math.round(behind)} ms old`,
  );
}
/** Told to stop, it ends after the round and says what it has seen. */
let isOver = false;
for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => (isOver = true));
try {
  console.log(`seed ${seed}`);
  for (let i = 0; i < kills && !isOver; i += 1) {
    const round = await killing.kill(KILLS[i % KILLS.length]!);
    rounds.push(round);
    if (round.broken !== null || round.behindMs > MOST_BEHIND_MS) console.log(i, round);
  }
  for (const how of LEAVES) {
    for (let i = 0; i < leaves && !isOver; i += 1) rounds.push(await killing.leave(how));
  }
} finally {
  for (const how of [...KILLS, ...LEAVES]) tell(how);
  await killing.end();
  await site.value.close();
}
const failed = rounds.filter((round) => round.broken !== null || round.behindMs > MOST_BEHIND_MS);
process.exitCode = failed.length > 0 ? 1 : 0;
