// Writes the figures of README.md anew from the generated tables: npm run readme. The data build and the
// scoreboard end with it.
import { readFileSync, writeFileSync } from 'node:fs';
import { withFigures } from './readme.ts';

const README = new URL('../../README.md', import.meta.url);
writeFileSync(README, withFigures(readFileSync(README, 'utf8')));
