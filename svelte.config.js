// Builds a fully static site: every route is prerendered, nothing runs on a server.
import adapter from '@sveltejs/adapter-static';
import { vitePreprocess } from '@sveltejs/vite-plugin-svelte';

/** @type {import('@sveltejs/kit').Config} */
export default {
  preprocess: vitePreprocess(),
  kit: {
    adapter: adapter({ pages: 'build', assets: 'build', strict: true }),
    paths: { relative: true },
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
        config.compilerOptions.allowImportingTsExtensions = true;
        return config;
      },
    },
  },
};
