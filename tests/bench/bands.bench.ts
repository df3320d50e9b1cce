// How long a prediction of twelve additions takes with its bands of 500 draws: when only grams change,
// when the conditions change as well, and without bands. Prints the median and the 95 % point.
import { bench, describe } from 'vitest';
import { predict } from '#engine/answer/answer.ts';
import { sampleDesign, DEFAULT_SAMPLING } from '#engine/doubt/bands.ts';
import { designOf, type Design } from '#engine/predict/design.ts';
import { model } from '#engine/tables/model.ts';
import { predictPoint } from '#engine/predict/predict.ts';
import type { Schedule } from '#shared/schemas/brief.ts';

const HOPS = model.hops.filter((h) => h.missing.length === 0).slice(0, 12);
const PLACES = ['dry_hop', 'hot_steep', 'dry_hop', 'mash'] as const;

function blend(grams: number, hours: number): Design {
  const schedule: Schedule = {
    name: 'twelve additions',
    batch: { beer_l: 40, yeast: 'thiol_releasing', malt_g_per_l: 200 },
    stages: {
      mash: { temp_c: 66, minutes: 60, boil_minutes: 60 },
      hot_steep: { temp_c: 80, minutes: 20, closed: false },
      dry_hop: { temp_c: 14, hours, mixed: false, live_yeast: false },
    },
    additions: HOPS.map(({ name }, i) => ({
      hop: name,
      form: 'pellet_90',
      stage: PLACES[i % PLACES.length]!,
      grams: grams + i,
    })),
  };
  const design = designOf(model, schedule);
  if (!design.ok) throw new Error('a schedule that can be predicted');
  return design.value;
}

let edits = 0;
function timed(name: string, run: (edit: number) => unknown): void {
  const taken: number[] = [];
  bench(
    name,
    () => {
      const start = performance.now();
      run((edits += 1));
      taken.push(performance.now() - start);
    },
    {
      iterations: 100,
      teardown: (_, mode) => {
        if (mode !== 'run') return void taken.splice(0);
        const sorted = taken.sort((a, b) => a - b);
        const at = (share: number) => sorted[Math.floor(share * (sorted.length - 1))]!.toFixed(2);
        console.log(`${name}: median ${at(0.5)} ms, 95 % ${at(0.95)} ms, ${sorted.length} runs`);
      },
    },
  );
}

describe('twelve additions', () => {
  timed('500 draws, grams change', (n) => predict(model, blend(20 + (n % 50), 72)));
  timed('500 draws, conditions change', (n) => predict(model, blend(20, 24 + (n % 97))));
  timed('500 draws, without reading the bands', (n) =>
    sampleDesign(model, blend(20 + (n % 50), 72), DEFAULT_SAMPLING),
  );
  timed('the point alone', (n) => {
    const design = blend(20 + (n % 50), 72);
    predictPoint(model, design);
  });
});
