// Rebuilds the generated tables of data/: run with `npx tsx data/build/build.ts`. Writes nothing
// unless every table holds; otherwise says what is wrong, where, and how to mend it, and exits 1.
import { readFileSync, writeFileSync } from 'node:fs';
import { sentence } from '#shared/outcome.ts';
import { INPUTS, OUTPUTS, generate, type InputFile } from './generate.ts';

const data = new URL('../', import.meta.url);
const inputs = Object.fromEntries(
  INPUTS.map((file) => [file, readFileSync(new URL(file, data), 'utf8')]),
) as Record<InputFile, string>;

const outcome = generate(inputs);
if (outcome.ok) {
  const { files, hops, estimators, errors } = outcome.value;
  for (const file of OUTPUTS) writeFileSync(new URL(file, data), files[file]);
  const offered = hops.filter((hop) => hop.missing.length === 0).length;
  console.log(`${hops.length} varieties, ${offered} with every figure needed to be offered`);
  for (const { id, low, central, high, count } of estimators) {
    const from = count === 0 ? 'stated' : `from ${count}`;
    console.log(`estimate ${id}: ${low} / ${central} / ${high} (${from})`);
  }
  for (const { analyte, method, medianFold, fold80, coverage90, note } of errors) {
    const size =
      medianFold === null
        ? note
        : `off by x${medianFold.toFixed(2)}, x${fold80?.toFixed(2)} at 80 %, range holds ${coverage90?.toFixed(2)}`;
    console.log(`${analyte} by ${method}: ${size}`);
  }
} else {
  for (const problem of outcome.problems) {
    console.error(sentence(problem.path, { ...problem, path: '' }));
  }
  process.exitCode = 1;
}
