import stylistic from '@stylistic/eslint-plugin';

const browser = [
  'window', 'document', 'navigator', 'location', 'localStorage', 'indexedDB', 'innerWidth', 'innerHeight', 'matchMedia', 'getComputedStyle', 'addEventListener', 'dispatchEvent', 'requestAnimationFrame', 'cancelAnimationFrame',
  'ResizeObserver', 'MutationObserver', 'AbortController', 'TextDecoder', 'EventTarget', 'Event', 'CustomEvent', 'DragEvent', 'Element', 'HTMLElement', 'HTMLCanvasElement', 'ImageData', 'CSS', 'Blob', 'File', 'URL', 'URLSearchParams', 'FormData', 'Worker', 'WebAssembly', 'Response', 'DecompressionStream', 'MessageChannel', 'fetch', 'atob',
  'setTimeout', 'clearTimeout', 'performance', 'console', 'reportError', 'structuredClone', 'queueMicrotask', 'self', 'importScripts', 'postMessage', 'Go', 'stage',
];
const node = ['console', 'process', 'URL', 'setTimeout', 'clearTimeout', 'setInterval', 'clearInterval', 'structuredClone', 'queueMicrotask', 'Response', 'Blob', 'WebAssembly', 'EventTarget', 'Event', 'CustomEvent', 'performance'];
const named = (list) => Object.fromEntries(list.map((n) => [n, 'readonly']));

const rules = {
  'no-undef': 'error',
  'no-unused-vars': ['error', { args: 'after-used', caughtErrors: 'none' }],
  'no-var': 'error',
  'prefer-const': ['error', { destructuring: 'all' }],
  eqeqeq: 'error',
  'no-implicit-globals': 'error',
  'no-shadow-restricted-names': 'error',
  'no-dupe-keys': 'error',
  'no-dupe-else-if': 'error',
  'no-unreachable': 'error',
  'no-fallthrough': 'error',
  'no-self-assign': 'error',
  'no-redeclare': 'error',
  'no-const-assign': 'error',
  'no-cond-assign': 'error',
  'no-debugger': 'error',
  'no-eval': 'error',
  'no-new-func': 'error',
  'no-implied-eval': 'error',
  'no-unsafe-finally': 'error',
  'use-isnan': 'error',
  'valid-typeof': 'error',
  // names from files are text, never markup; and nothing is asked for once the page has loaded
  'no-restricted-properties': ['error', ...['innerHTML', 'outerHTML', 'insertAdjacentHTML'].map((property) => ({ property, message: 'text from files is text: use textContent or h()' }))],
};

// How the text is laid out; `make format` writes it so. No rule that changes what a line means: quote-props
// would (it makes a member called "__proto__" the prototype).
const free = Object.fromEntries(['()', '[]', 'CallExpression', 'NewExpression', 'FunctionDeclaration', 'FunctionExpression', 'ArrowFunctionExpression'].map((of) => [of, 'off']));
const layout = Object.fromEntries([
  ['indent', 2, { SwitchCase: 1, offsetTernaryExpressions: true }], ['quotes', 'single', { avoidEscape: true }], ['semi', 'always'], ['comma-dangle', 'always-multiline'], ['list-style', { overrides: free }],
  ['operator-linebreak', 'after', { overrides: { '?': 'before', ':': 'before' } }], ['max-len', { code: 240, ignoreComments: true, ignoreStrings: true, ignoreTemplateLiterals: true }],
  ['brace-style', '1tbs', { allowSingleLine: true }], ['space-before-function-paren', { anonymous: 'always', named: 'never', asyncArrow: 'always' }], ['generator-star-spacing', { before: false, after: true }],
  ['yield-star-spacing', 'after'], ['dot-location', 'property'], ['padded-blocks', 'never'], ['no-multiple-empty-lines', { max: 1, maxBOF: 0, maxEOF: 0 }], ['no-extra-parens', 'functions'], ['wrap-iife', 'inside'],
  ...[
    'arrow-parens', 'arrow-spacing', 'block-spacing', 'comma-spacing', 'comma-style', 'computed-property-spacing', 'eol-last', 'function-call-spacing', 'key-spacing', 'keyword-spacing', 'linebreak-style', 'new-parens',
    'no-extra-semi', 'no-floating-decimal', 'no-multi-spaces', 'no-tabs', 'no-trailing-spaces', 'no-whitespace-before-property', 'rest-spread-spacing', 'semi-spacing', 'semi-style', 'space-before-blocks',
    'space-in-parens', 'space-infix-ops', 'space-unary-ops', 'spaced-comment', 'switch-colon-spacing', 'template-curly-spacing', 'template-tag-spacing',
  ].map((rule) => [rule]),
].map(([rule, ...how]) => [`@stylistic/${rule}`, ['error', ...how]]));

// What a module remembers stands in state/, where it can be seen, set and emptied.
const remembers = { selector: 'Program > VariableDeclaration[kind="let"], Program > ExportNamedDeclaration > VariableDeclaration[kind="let"]', message: 'what is remembered stands in js/state' };

export default [
  { ignores: ['dist/', 'node_modules/'] },
  { plugins: { '@stylistic': stylistic }, rules: layout },
  { files: ['js/**/*.js'], languageOptions: { ecmaVersion: 2024, sourceType: 'module', globals: named(browser) }, rules: { ...rules, 'no-restricted-syntax': ['error', remembers] } },
  { files: ['js/programs/worker.js'], languageOptions: { globals: { onmessage: 'writable' } } },
  { files: ['test/**/*.js', 'eslint.config.js'], languageOptions: { ecmaVersion: 2024, sourceType: 'module', globals: named(node) }, rules },
];
