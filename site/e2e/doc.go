// Package e2e holds the tests of the page in real browsers: Chromium driven from
// Go, Firefox from a small Node program. They run with RIGLOUPE_E2E=1 on what
// `make site cli` built, and keep screenshots in site/dist/shots.
package e2e
