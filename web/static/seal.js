// Opens what is sealed under the code on a plate: AES-GCM under a key that HKDF
// derives from the code. It keeps names from being seen by accident; three digits
// keep nothing from somebody who tries them all.
const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

export async function keyOf(code, salt) {
  const word = await crypto.subtle.importKey("raw", new TextEncoder().encode(code), "HKDF", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "HKDF", hash: "SHA-256", salt: bytes(salt), info: new Uint8Array() },
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
