// Bundles the command line before the unit tests: the set-up that plain Node can read.
import { tsImport } from 'tsx/esm/api';

/** @param {import('vitest/node').TestProject} project */
export default async function bundleOnce(project) {
  const { provideBundle } = await tsImport('./bundle.ts', import.meta.url);
  return provideBundle(project);
}
