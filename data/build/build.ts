// Builds the generated tables from the CSV files of data/ and writes them.
import { readFileSync, writeFileSync } from 'node:fs';
import { sentence } from '#shared/outcome.ts';
import { compoundRow, parameterRow, toCompound, toParameter, descriptorRow, toDescriptor } from './rows.ts';
import { readTable } from './read.ts';

const root = new URL('../', import.meta.url);
const read = (file: string) => readFileSync(new URL(file, root), 'utf8');
const line = (v: unknown) => JSON.stringify(v);
const c = readTable(read('compounds.csv'), compoundRow);
const p = readTable(read('parameters.csv'), parameterRow);
const d = readTable(read('descriptors.csv'), descriptorRow);
for (const [f, t] of [['data/compounds.csv', c], ['data/parameters.csv', p], ['data/descriptors.csv', d]] as const)
  if (!t.ok) for (const q of t.problems) { console.error(sentence(f, q)); process.exitCode = 1; }
if (c.ok && p.ok && d.ok) {
  writeFileSync(new URL('generated/compounds.json', root), `[\n${c.value.map((r) => line(toCompound(r))).join(',\n')}\n]\n`);
  writeFileSync(new URL('generated/descriptors.json', root), `[\n${d.value.map((r) => line(toDescriptor(r))).join(',\n')}\n]\n`);
  writeFileSync(new URL('generated/parameters.json', root), `{\n${p.value.map((r) => `${line(r.id)}:${line(toParameter(r))}`).join(',\n')}\n}\n`);
}
