// The committed tables as texts, and how a test spoils one of them.
import { readFileSync } from 'node:fs';
import { INPUTS, generate, type InputFile } from '#data/build/generate.ts';

const DATA = new URL('../../data/', import.meta.url);

export function fileText(file: string): string {
  return readFileSync(new URL(file, DATA), 'utf8');
}

export const inputs = Object.fromEntries(INPUTS.map((file) => [file, fileText(file)])) as Readonly<
  Record<InputFile, string>
>;

/** The inputs with `from` replaced once by `to` in `file`; throws if `from` does not stand there. */
export function spoiled(file: InputFile, from: string, to: string): Record<InputFile, string> {
  if (!inputs[file].includes(from)) throw new Error(`${file} does not hold "${from}"`);
  return { ...inputs, [file]: inputs[file].replace(from, () => to) };
}

/** 1-based line of the first line of `file` that begins with `start`. */
export function lineOf(file: InputFile, start: string): number {
  const index = inputs[file].split('\n').findIndex((line) => line.startsWith(start));
  if (index < 0) throw new Error(`no line of ${file} begins with "${start}"`);
  return index + 1;
}

const outcome = generate(inputs);
if (!outcome.ok) throw new Error(outcome.problems.map((p) => `${p.path}: ${p.message}`).join('\n'));
/** What the committed tables give. */
export const built = outcome.value;

export function hopNamed(name: string) {
  const hop = built.hops.find((h) => h.name === name);
  if (hop === undefined) throw new Error(`no hop ${name}`);
  return hop;
}
