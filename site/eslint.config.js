const browser = [
  'window', 'document', 'navigator', 'location', 'localStorage', 'innerWidth', 'innerHeight', 'matchMedia', 'getComputedStyle', 'addEventListener', 'dispatchEvent', 'requestAnimationFrame', 'cancelAnimationFrame',
  'ResizeObserver', 'MutationObserver', 'AbortController', 'TextDecoder', 'EventTarget', 'Event', 'CustomEvent', 'DragEvent', 'Element', 'HTMLElement', 'HTMLCanvasElement', 'ImageData', 'CSS', 'Blob', 'File', 'URL', 'URLSearchParams', 'FormData', 'Worker', 'WebAssembly', 'Response', 'DecompressionStream', 'MessageChannel', 'fetch', 'atob',
  'setTimeout', 'clearTimeout', 'performance', 'console', 'reportError', 'structuredClone', 'queueMicrotask', 'self', 'importScripts', 'postMessage', 'Go', 'stage',
];
const node = ['console', 'process', 'URL', 'setTimeout', 'clearTimeout', 'setInterval', 'clearInterval', 'structuredClone', 'queueMicrotask', 'Response', 'Blob', 'WebAssembly', 'EventTarget', 'Event', 'CustomEvent', 'performance'];
const named = (list) => Object.fromEntries(list.map((n) => [n, 'readonly']));

const rules = {
  'no-undef': 'error', 'no-unused-vars': ['error', { args: 'after-used', caughtErrors: 'none' }], 'no-var': 'error', 'prefer-const': ['error', { destructuring: 'all' }], eqeqeq: 'error',
  'no-implicit-globals': 'error', 'no-shadow-restricted-names': 'error', 'no-dupe-keys': 'error', 'no-dupe-else-if': 'error', 'no-unreachable': 'error', 'no-fallthrough': 'error', 'no-self-assign': 'error',
  'no-redeclare': 'error', 'no-const-assign': 'error', 'no-cond-assign': 'error', 'no-debugger': 'error', 'no-eval': 'error', 'no-new-func': 'error', 'no-implied-eval': 'error', 'no-unsafe-finally': 'error', 'use-isnan': 'error', 'valid-typeof': 'error',
  // names from files are text, never markup; and nothing is asked for once the page has loaded
  'no-restricted-properties': ['error', ...['innerHTML', 'outerHTML', 'insertAdjacentHTML'].map((property) => ({ property, message: 'text from files is text: use textContent or h()' }))],
};

// What a module remembers stands in state/, where it can be seen, set and emptied.
const remembers = { selector: 'Program > VariableDeclaration[kind="let"], Program > ExportNamedDeclaration > VariableDeclaration[kind="let"]', message: 'what is remembered stands in js/state' };

export default [
  { ignores: ['dist/', 'node_modules/'] },
  { files: ['js/**/*.js'], languageOptions: { ecmaVersion: 2024, sourceType: 'module', globals: named(browser) }, rules: { ...rules, 'no-restricted-syntax': ['error', remembers] } },
  { files: ['js/programs/worker.js'], languageOptions: { globals: { onmessage: 'writable' } } },
  { files: ['test/**/*.js', 'eslint.config.js'], languageOptions: { ecmaVersion: 2024, sourceType: 'module', globals: named(node) }, rules },
];
