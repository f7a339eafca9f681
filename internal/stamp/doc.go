// Package stamp asks an outside authority for a time stamp and checks its answer, after the
// Time-Stamp Protocol (RFC 3161, with RFC 5816 for the certificate's identifier).
//
// A stamp says that a SHA-256 existed at a moment by an authority's clock. Nothing here needs a
// network: [Request] makes the request as a file, somebody has it stamped wherever they like,
// and [Check] holds the answer to the request. What it holds it to: the request was granted;
// the stamp is of the hash and carries the number (nonce) of the request; one signer signed it,
// whose certificate is in the answer, is named by the signature, was valid at that moment and
// is for time stamps and nothing else (RFC 3161, 2.3).
//
// It does not follow the certificate to a root, and asks nobody whether it was revoked: whether
// the authority is to be trusted is for the reader to judge, who gets its name and the
// fingerprint of its certificate.
package stamp
