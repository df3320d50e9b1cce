// Builds the command line into one folder that plain Node runs, packages included, so that a start
// reads a few files instead of compiling all sources. Each verb is loaded when it is asked for.
import { defineConfig } from 'vite';

export default defineConfig({
  ssr: { noExternal: true },
  build: {
    ssr: 'src/cli/main.ts',
    outDir: 'build-cli',
    target: 'node20',
    copyPublicDir: false,
    reportCompressedSize: false,
    rolldownOptions: { output: { entryFileNames: 'blendbine.js' } },
  },
});
