// Builds a fully static site: every route is prerendered, nothing runs on a server.
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import adapter from '@sveltejs/adapter-static';
import { vitePreprocess } from '@sveltejs/vite-plugin-svelte';

/**
 * Writes ids that `cite` (`figure-from.ts`) is handed in an attribute into the markup, so that they are
 * checked by the types and cost no script: `data-from={cite('a', `b/${c}`)}` becomes `data-from="a b/{c}"`.
 */
const CITED = /data-from=\{cite\(\s*((?:'[^']*'|`[^`]*`)(?:,\s*(?:'[^']*'|`[^`]*`))*),?\s*\)\}/g;
const citing = {
  name: 'cite',
  /** @param {{ content: string }} file */
  markup: ({ content }) => ({
    code: content.replace(CITED, (_, /** @type {string} */ ids) => {
      const parts = [...ids.matchAll(/['`]([^'`]*)['`]/g)].map(([, id = '']) => id);
      return `data-from="${parts.join(' ').replaceAll('${', '{')}"`;
    }),
  }),
};

/**
 * The version of the program: what its sources are, so that the same sources built again are no new version,
 * which would be offered to everybody who has the old one.
 */
function versionOfSources() {
  const hash = createHash('sha256');
  /** @param {string} path */
  const take = (path) => {
    if (statSync(path).isDirectory())
      for (const name of readdirSync(path).sort()) take(`${path}/${name}`);
    else hash.update(`${path}\n`).update(readFileSync(path));
  };
  const sources = ['src', 'shared', 'seeds', 'data', 'package-lock.json'];
  for (const path of [...sources, 'svelte.config.js', 'vite.config.ts'])
    take(new URL(path, import.meta.url).pathname);
  return hash.digest('hex').slice(0, 16);
}

/** @type {import('@sveltejs/kit').Config} */
export default {
  preprocess: [citing, vitePreprocess()],
  kit: {
    adapter: adapter({ pages: 'build', assets: 'build', strict: true }),
    paths: { relative: true },
    files: { assets: 'src/static', hooks: { server: 'src/serve/hooks' } },
    version: { name: versionOfSources() },
    // `VersionNotice.svelte` registers it, and asks before a new version takes over.
    serviceWorker: { register: false },
    csp: {
      mode: 'hash',
      directives: {
        'default-src': ['self'],
        'script-src': ['self'],
        'style-src': ['self'],
        'style-src-attr': ['unsafe-inline'],
        'img-src': ['self', 'data:'],
        'worker-src': ['self'],
        'connect-src': ['self'],
        'object-src': ['none'],
        'base-uri': ['none'],
        'form-action': ['self'],
      },
    },
    typescript: {
      config: (config) => {
        for (const folder of ['data', 'shared', 'seeds', 'serve'])
          config.include.push(`../${folder}/**/*.ts`);
        config.include.push('../*.config.ts', '../*.config.js');
        // It names the few types of its world that it uses, and so is checked with all others.
        config.exclude = config.exclude.filter(
          (/** @type {string} */ path) => !path.includes('service-worker'),
        );
        config.compilerOptions.allowImportingTsExtensions = true;
        return config;
      },
    },
  },
};
