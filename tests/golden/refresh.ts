// Writes the golden answers anew: npx tsx tests/golden/refresh.ts
// Then read the difference as you would read code: every changed figure needs a reason.
import { refresh } from './answers.ts';

refresh();
