// Lint rules the type checker does not cover. Which layer may import which is not here but in
// tests/architecture.test.ts: one rule, one place.
import svelte from 'eslint-plugin-svelte';
import { defineConfig } from 'eslint/config';
import tseslint from 'typescript-eslint';
import svelteConfig from './svelte.config.js';

export default defineConfig(
  {
    ignores: [
      '.svelte-kit/',
      'build/',
      'build-cli/',
      'node_modules/',
      'test-results/',
      'data/generated/',
    ],
  },
  { linterOptions: { reportUnusedDisableDirectives: 'error' } },
  tseslint.configs.recommended,
  svelte.configs.recommended,
  {
    files: ['**/*.svelte', '**/*.svelte.ts'],
    languageOptions: {
      parserOptions: { parser: tseslint.parser, extraFileExtensions: ['.svelte'], svelteConfig },
    },
  },
  {
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
      eqeqeq: ['error', 'always', { null: 'ignore' }],
      'no-var': 'error',
      'prefer-const': ['error', { destructuring: 'all' }],
      'no-debugger': 'error',
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
          message:
            'Say where the figure is from by cite(...), so that a wrong id does not compile.',
        },
      ],
    },
  },
  // What only the types can tell.
  {
    files: ['{data,seeds,shared,src,tests}/**/*.{ts,svelte}'],
    languageOptions: {
      parserOptions: {
        projectService: true,
        tsconfigRootDir: import.meta.dirname,
        // The same for all files, or the types are worked out anew where it changes.
        extraFileExtensions: ['.svelte'],
      },
    },
    rules: {
      '@typescript-eslint/no-floating-promises': 'error',
      '@typescript-eslint/no-misused-promises': 'error',
      '@typescript-eslint/switch-exhaustiveness-check': 'error',
    },
  },
  // Not in tests: what they ask for again is what they doubt.
  {
    files: ['{data,shared,src}/**/*.{ts,svelte}'],
    rules: { '@typescript-eslint/no-unnecessary-condition': 'error' },
  },
  {
    ignores: ['shared/zod.ts'],
    rules: {
      '@typescript-eslint/no-restricted-imports': [
        'error',
        {
          name: 'zod/mini',
          allowTypeImports: true,
          message: 'Import z from #shared/zod.ts, where it is set up for the content policy.',
        },
      ],
    },
  },
  { files: ['src/lib/**', 'src/routes/**', 'shared/**'], rules: { 'no-console': 'error' } },
);
