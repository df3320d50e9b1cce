// Lint rules for components. Plain TypeScript is checked by the same rules in .oxlintrc.json, in a
// tenth of the time. Which layer may import which stands in tests/layers.ts alone.
import svelte from 'eslint-plugin-svelte';
import { defineConfig } from 'eslint/config';
import tseslint from 'typescript-eslint';
import svelteConfig from './svelte.config.js';
import * as componentParser from './tests/lint/component-parser.js';

export default defineConfig({
  files: ['src/**/*.svelte'],
  extends: [tseslint.configs.recommended, svelte.configs.recommended],
  linterOptions: { reportUnusedDisableDirectives: 'error' },
  languageOptions: {
    parserOptions: {
      parser: componentParser,
      projectService: true,
      tsconfigRootDir: import.meta.dirname,
      extraFileExtensions: ['.svelte'],
      svelteConfig,
    },
  },
  rules: {
    '@typescript-eslint/no-explicit-any': 'error',
    '@typescript-eslint/no-unused-vars': [
      'error',
      { argsIgnorePattern: '^_', varsIgnorePattern: '^_', destructuredArrayIgnorePattern: '^_' },
    ],
    '@typescript-eslint/consistent-type-imports': [
      'error',
      { fixStyle: 'inline-type-imports', disallowTypeAnnotations: false },
    ],
    '@typescript-eslint/no-floating-promises': 'error',
    '@typescript-eslint/no-misused-promises': 'error',
    '@typescript-eslint/no-unnecessary-condition': 'error',
    '@typescript-eslint/switch-exhaustiveness-check': 'error',
    eqeqeq: ['error', 'always', { null: 'ignore' }],
    'no-var': 'error',
    'prefer-const': ['error', { destructuring: 'all' }],
    'no-debugger': 'error',
    'no-console': 'error',
    // State lives in classes; the maps and dates of a component are of one computation.
    'svelte/prefer-svelte-reactivity': 'off',
    'no-restricted-syntax': [
      'error',
      {
        selector: "ImportDeclaration[source.value='d3'] ImportNamespaceSpecifier",
        message: 'Import d3 functions by name, so that the rest stays out of the bundle.',
      },
      {
        // The type checker lets any text pass as a data attribute.
        selector:
          "SvelteAttribute[key.name='data-from'] :matches(SvelteLiteral, SvelteMustacheTag > :matches(Literal, TemplateLiteral, ConditionalExpression))",
        message: 'Say where the figure is from by cite(...), so that a wrong id does not compile.',
      },
    ],
  },
});
