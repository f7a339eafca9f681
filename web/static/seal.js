// Opens what is sealed under the code on a plate: AES-GCM under a key that PBKDF2
// derives from the code.
const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

export async function keyOf(code, salt, iterations) {
  const word = await crypto.subtle.importKey("raw", new TextEncoder().encode(code), "PBKDF2", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "PBKDF2", hash: "SHA-256", salt: bytes(salt), iterations },
    word, { name: "AES-GCM", length: 256 }, false, ["decrypt"]);
}

/** What is sealed; null when the key is of another code. */
export async function unseal(key, { id, nonce, box }) {
  try {
    const open = await crypto.subtle.decrypt({ name: "AES-GCM", iv: bytes(nonce), additionalData: new TextEncoder().encode(id) }, key, bytes(box));
    return JSON.parse(new TextDecoder().decode(open));
  } catch {
    return null;
  }
}
