package e2e

// What the tests ask of the page: its own markup, the stage's functions, and a
// record of faults that is put in before any script runs.
const (
	// recordJS notes breaches of the policy and uncaught errors.
	recordJS = `globalThis.seenFaults = [];
document.addEventListener('securitypolicyviolation', (e) => seenFaults.push('policy: ' + e.effectiveDirective + ' ' + e.blockedURI));
addEventListener('error', (e) => seenFaults.push('error: ' + e.message));
addEventListener('unhandledrejection', (e) => seenFaults.push('rejection: ' + e.reason));`

	faultsJS = `[...globalThis.seenFaults ?? []]`

	// readyJS: the stage runs, so everything is loaded.
	readyJS = `globalThis.stage && globalThis.stage.state && stage.state().w > 0`

	// doneJS: a figure is examined and drawn, and nothing moves any more.
	doneJS = `document.body.dataset.phase === 'done' && stage.state().shown && stage.state().fine`
)
