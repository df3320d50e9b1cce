// Writes data/generated/scoreboard.json and experiments.json anew: npm run scoreboard. Then read the difference: a check
// that begins to hold or to miss changes its `reason` in data/published/ too.
import { writeFileSync } from 'node:fs';
import { experimentsText, scoreboard, scoreboardText } from './score.ts';

const board = scoreboard();
const fileOf = (name: string) => new URL(`../../data/generated/${name}.json`, import.meta.url);
writeFileSync(fileOf('scoreboard'), scoreboardText(board));
writeFileSync(fileOf('experiments'), experimentsText(board));
for (const row of board.rows.filter(({ holds }) => holds !== null)) {
  const fold = row.fold === null ? '' : `, x${row.fold}`;
  console.log(
    `${row.holds ? 'holds ' : 'MISSES'} ${row.id}: ${row.observed} | ${row.predicted}${fold}`,
  );
}
const { all, independent, medianFold, tasters } = board;
console.log(
  `${all.held} of ${all.of} hold, ${independent.held} of ${independent.of} independent, median fold ${medianFold}`,
);
for (const [which, { share, pairs }] of Object.entries(tasters)) {
  console.log(`agreement with tasters, ${which}: ${share} of ${pairs} pairs`);
}
