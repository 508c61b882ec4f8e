// @ts-check

/** The bytes of a base64 text. Throws when it is not base64. @param {string} text @returns {Uint8Array<ArrayBuffer>} */
export function decodeBase64(text) {
  // Native where the browser has it: ten times as fast.
  const native = /** @type {any} */ (Uint8Array).fromBase64;
  if (native) return native.call(Uint8Array, text);
  const binary = atob(text);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < binary.length; i++) bytes[i] = binary.charCodeAt(i);
  return bytes;
}
