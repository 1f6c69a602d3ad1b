//! AES in CBC mode with an initial vector of zeros (NIST SP 800-38A), as DC-09 has it, on hex digits.

use std::collections::BTreeMap;

use aes::{Aes128, Aes192, Aes256};
use cbc::cipher::{Array, BlockModeDecrypt, BlockModeEncrypt, InnerIvInit, KeyInit};

use crate::frame::nibble;

/// Octets of a block.
pub(crate) const BLOCK: usize = 16;
/// The longest pad that is written: a whole block where the rest fits already.
pub const MOST_PAD: usize = BLOCK;

/// A key, made ready.
#[derive(Clone)]
pub struct Key(Rounds);

#[derive(Clone)]
enum Rounds {
    Bits128(Aes128),
    Bits192(Aes192),
    Bits256(Aes256),
}

/// A text is no key. What it says never holds the key.
#[derive(Clone, Copy, PartialEq, Eq, Debug, thiserror::Error)]
#[non_exhaustive]
pub enum KeyError {
    /// Another sign than a hex digit.
    #[error("sign {at} of the key is no hex digit")]
    NoDigit {
        /// Which sign, from 1.
        at: usize,
    },
    /// Too many or too few.
    #[error("a key of {digits} hex digits")]
    Length {
        /// How many there are.
        digits: usize,
    },
    /// Not an account.
    #[error("the account before a key is not 3 to 16 digits 0-9 A-F")]
    Account,
}

impl KeyError {
    /// What would be accepted.
    #[must_use]
    pub fn accepted(self) -> &'static str {
        "32, 48 or 64 hex digits (128, 192 or 256 bits) on one line; more lines may hold an account, a blank and \
         that account's own key"
    }
}

/// Never shows the key.
impl std::fmt::Debug for Key {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "a key of {} bits", self.bits())
    }
}

impl Key {
    /// Reads 32, 48 or 64 hex digits of either case.
    ///
    /// # Errors
    /// Another sign, another number of them.
    pub fn read(digits: &str) -> Result<Self, KeyError> {
        let mut octets = [0_u8; 32];
        let mut count = 0;
        for (at, sign) in digits.chars().enumerate() {
            let value = u8::try_from(sign).ok().and_then(nibble).ok_or(KeyError::NoDigit { at: at + 1 })?;
            if let Some(octet) = octets.get_mut(at / 2) {
                *octet = *octet << 4 | value;
            }
            count += 1;
        }
        let key = match count {
            32 => Aes128::new_from_slice(&octets[..16]).map(Rounds::Bits128),
            48 => Aes192::new_from_slice(&octets[..24]).map(Rounds::Bits192),
            64 => Aes256::new_from_slice(&octets).map(Rounds::Bits256),
            digits => return Err(KeyError::Length { digits }),
        };
        key.map(Self).map_err(|_| KeyError::Length { digits: count })
    }

    /// 128, 192 or 256.
    #[must_use]
    pub fn bits(&self) -> u16 {
        match self.0 {
            Rounds::Bits128(_) => 128,
            Rounds::Bits192(_) => 192,
            Rounds::Bits256(_) => 256,
        }
    }

    /// Decrypts in place; a length that is no whole number of blocks leaves the rest as it was.
    pub fn decrypt(&self, octets: &mut [u8]) {
        let (blocks, _) = Array::slice_as_chunks_mut(octets);
        let iv = Array::from([0_u8; BLOCK]);
        match &self.0 {
            Rounds::Bits128(aes) => {
                cbc::Decryptor::inner_iv_init(aes.clone(), &iv).decrypt_blocks(blocks);
            }
            Rounds::Bits192(aes) => {
                cbc::Decryptor::inner_iv_init(aes.clone(), &iv).decrypt_blocks(blocks);
            }
            Rounds::Bits256(aes) => {
                cbc::Decryptor::inner_iv_init(aes.clone(), &iv).decrypt_blocks(blocks);
            }
        }
    }

    /// Encrypts in place; a length that is no whole number of blocks leaves the rest as it was.
    pub fn encrypt(&self, octets: &mut [u8]) {
        let (blocks, _) = Array::slice_as_chunks_mut(octets);
        let iv = Array::from([0_u8; BLOCK]);
        match &self.0 {
            Rounds::Bits128(aes) => {
                cbc::Encryptor::inner_iv_init(aes.clone(), &iv).encrypt_blocks(blocks);
            }
            Rounds::Bits192(aes) => {
                cbc::Encryptor::inner_iv_init(aes.clone(), &iv).encrypt_blocks(blocks);
            }
            Rounds::Bits256(aes) => {
                cbc::Encryptor::inner_iv_init(aes.clone(), &iv).encrypt_blocks(blocks);
            }
        }
    }

    /// Decrypts hex digits into `into`; none when they are no whole number of blocks, or too many.
    pub(crate) fn open<'b>(&self, digits: &[u8], into: &'b mut [u8]) -> Option<&'b [u8]> {
        let octets = digits.len() / 2;
        if !digits.len().is_multiple_of(2 * BLOCK) || octets == 0 {
            return None;
        }
        let into = into.get_mut(..octets)?;
        for (octet, pair) in into.iter_mut().zip(digits.chunks_exact(2)) {
            *octet = nibble(pair[0])? << 4 | nibble(pair[1])?;
        }
        self.decrypt(into);
        Some(into)
    }
}

/// The keys that a receiver holds: one for the port, and accounts' own.
#[derive(Clone, Debug, Default)]
pub struct Keys {
    /// Of every account that has none of its own.
    common: Option<Key>,
    own: BTreeMap<Vec<u8>, Key>,
}

impl From<Key> for Keys {
    /// One key for every account.
    fn from(key: Key) -> Self {
        Self { common: Some(key), own: BTreeMap::new() }
    }
}

impl Keys {
    /// Reads a key file: a line of hex digits is the common key, `ACCOUNT KEY` an account's own; empty lines and
    /// those that begin with `;` are passed over.
    ///
    /// # Errors
    /// The line, from 1, and what is wrong with it; a file without a key.
    pub fn read(text: &str) -> Result<Self, (usize, KeyError)> {
        let mut keys = Self::default();
        for (at, line) in text.lines().enumerate() {
            let line = line.trim();
            if line.is_empty() || line.starts_with(';') {
                continue;
            }
            let wrong = |error| (at + 1, error);
            match line.split_once(char::is_whitespace) {
                None => keys.common = Some(Key::read(line).map_err(wrong)?),
                Some((account, key)) => {
                    let account = account.strip_prefix('#').unwrap_or(account);
                    let digits = account.bytes().all(|digit| matches!(digit, b'0'..=b'9' | b'A'..=b'F'));
                    if !digits || !(3..=16).contains(&account.len()) {
                        return Err(wrong(KeyError::Account));
                    }
                    keys.own.insert(account.as_bytes().to_vec(), Key::read(key.trim()).map_err(wrong)?);
                }
            }
        }
        if keys.common.is_none() && keys.own.is_empty() {
            return Err((1, KeyError::Length { digits: 0 }));
        }
        Ok(keys)
    }

    /// The key of an account.
    #[must_use]
    pub fn of(&self, account: &[u8]) -> Option<&Key> {
        self.own.get(account).or(self.common.as_ref())
    }
}
