// Writes the golden answers and the yardstick anew: npm run golden
// Then read the difference as you would read code: every changed figure needs a reason.
import { refresh } from './answers.ts';
import { refreshYardstick } from './yardstick.ts';

refresh();
refreshYardstick();
