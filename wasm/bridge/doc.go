// Package bridge is what crosses between the page and the two programs: the
// messages, what they mean in the engine's own types, and the few calls that touch
// JavaScript. A message holds plain types only, each field with its name on the
// other side; what is large crosses as bytes beside it.
package bridge
