// Opens what is sealed under the codes on the plates of a turn: AES-GCM under a key
// that HKDF derives from them, rising and with a space between two. It keeps names from being seen by accident;
// three digits keep nothing from somebody who tries them all.
const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0));

/** Codes as somebody typed them, in the form that a seal takes them. */
export const codesIn = (text) => text.split(/[^0-9]+/).filter(Boolean).sort().join(" ");

export async function keyOf(codes, salt) {
  const word = await crypto.subtle.importKey("raw", new TextEncoder().encode(codes), "HKDF", false, ["deriveKey"]);
  return crypto.subtle.deriveKey({ name: "HKDF", hash: "SHA-256", salt: bytes(salt), info: new Uint8Array() },
    word, { name: "AES-GCM", length: 256 }, false, ["decrypt"]);
}

/** What is sealed; null when the key is of another code. */
export async function unseal(key, { id, nonce, box }) {
  try {
    const open = await crypto.subtle.decrypt({ name: "AES-GCM", iv: bytes(nonce),
      additionalData: new TextEncoder().encode(id) }, key, bytes(box));
    return JSON.parse(new TextDecoder().decode(open));
  } catch {
    return null;
  }
}
