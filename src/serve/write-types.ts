// Run by `npm pack`: writes the types of the package beside its bundle.
import { writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { declarationsOf } from './declarations.ts';

const pathOf = (path: string) => fileURLToPath(new URL(path, import.meta.url));
writeFileSync(pathOf('../../build-cli/index.d.ts'), declarationsOf(pathOf('../library/index.ts')));
