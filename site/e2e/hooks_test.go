package e2e

// What the tests ask of the page: its own markup, the stage's functions, and a
// record of faults that is put in before any script runs.
const (
	// recordJS notes breaches of the policy and uncaught errors.
	recordJS = `globalThis.seenFaults = [];
document.addEventListener('securitypolicyviolation', (e) => seenFaults.push('policy: ' + e.effectiveDirective + ' ' + e.blockedURI));
addEventListener('error', (e) => seenFaults.push('error: ' + e.message));
addEventListener('unhandledrejection', (e) => seenFaults.push('rejection: ' + e.reason));
globalThis.asksOpen = new Set(); // questions to workers whose last word has not come
if (globalThis.Worker) globalThis.Worker = class extends Worker {
	constructor(...a) { super(...a); this.open = new Map(); this.addEventListener('message', ({ data }) => { if (data?.end) this.shut(data.id); }); }
	shut(id) { asksOpen.delete(this.open.get(id)); this.open.delete(id); }
	postMessage(m, ...a) { if (m?.id && m.kind && m.kind !== 'warm') { const ask = { kind: m.kind }; this.open.set(m.id, ask); asksOpen.add(ask); } return super.postMessage(m, ...a); }
	terminate() { for (const id of [...this.open.keys()]) this.shut(id); super.terminate(); }
};
globalThis.savedFiles = []; // what the page hands to the browser as downloads: name and bytes, each with its own
{
	const by = new Map(), real = URL.createObjectURL;
	URL.createObjectURL = (b) => { const url = real(b); by.set(url, b); return url; };
	HTMLAnchorElement.prototype.click = function () { savedFiles.push([this.download, by.get(this.href)]); };
}`

	faultsJS = `[...globalThis.seenFaults ?? []]`

	// readyJS: the stage runs, so everything is loaded.
	readyJS = `globalThis.stage && globalThis.stage.state && stage.state().w > 0`

	// doneJS: a figure is examined and drawn, nothing moves any more, and no worker owes an
	// answer: the offers of the slip, the road and the pictures of the places are there.
	doneJS = `document.body.dataset.phase === 'done' && stage.state().shown && stage.state().fine && asksOpen.size === 0`
)
