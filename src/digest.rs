//! What a file's bytes are known by: their SHA-256.

use sha2::{Digest, Sha256};

/// Returns the SHA-256 of `bytes` as 64 lower-case hexadecimal digits.
///
/// # Examples
///
/// ```
/// use sheetwright::digest::sha256_hex;
/// // The message "abc" of the examples to FIPS 180-4.
/// let digest = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
/// assert_eq!(sha256_hex(b"abc"), digest);
/// ```
#[must_use]
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}
