// Bytes as text that any page may hold: seven bits a character of ASCII, eight sevenths of their number in all where base64
// takes four thirds. The three characters that a page's parser would change or end at are not used: U+0000, U+000D, "<".
// Where seven bits would be one of them, they and the next seven stand in one character of two bytes, from U+0100 on.
// site/bundle/dense.go writes it.

const UNUSED = [0x00, 0x0d, 0x3c];

/** @param {string} text @param {number} length bytes to be had @returns {Uint8Array<ArrayBuffer>} */
export function undense(text, length) {
  const out = new Uint8Array(length);
  let bits = 0, have = 0, at = 0;
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i);
    if (c < 0x80) {
      bits = bits << 7 | c;
      have += 7;
    } else {
      bits = bits << 14 | UNUSED[(c - 0x100) >> 7] << 7 | c & 0x7f;
      have += 14;
    }
    while (have >= 8) {
      have -= 8;
      out[at++] = bits >> have; // beyond the end nothing is kept
    }
    bits &= 0xff;
  }
  return out;
}
