// Builds the command line and the library into one folder that plain Node runs, packages included, so that a
// start reads a few files instead of compiling all sources. Each verb is loaded when it is asked for.
import { defineConfig } from 'vite';

export default defineConfig({
  ssr: { noExternal: true },
  build: {
    ssr: true,
    outDir: 'build-cli',
    target: 'node20',
    minify: true,
    copyPublicDir: false,
    reportCompressedSize: false,
    rolldownOptions: {
      input: { blendbine: 'src/cli/main.ts', index: 'src/library/index.ts' },
      output: {
        entryFileNames: '[name].js',
        // Parts that several verbs need come in one file: apart they make the package larger by 12 kB.
        codeSplitting: { groups: [{ name: 'core', minShareCount: 2 }] },
      },
    },
  },
});
