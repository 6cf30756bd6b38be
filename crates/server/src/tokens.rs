//! Who may do what: tokens for reading and for writing.
//!
//! Only hashes are kept. A token is 256 random bits, so one round of SHA-256 is enough: there is
//! nothing to guess. The comparison takes the same time wherever two hashes differ.

use sha2::{Digest, Sha256};
use std::fmt::{self, Write};
use subtle::ConstantTimeEq;

/// What a token allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Right {
    /// Looking.
    Read,
    /// Looking, recording, asking, planning and publishing.
    Write,
}

impl Right {
    /// The word for it in a list of tokens.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::Write => "write",
        }
    }
}

/// Whoever sent a request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caller {
    /// Name of the token; `None` where no tokens are used.
    pub name: Option<String>,
    /// What it may do.
    pub right: Right,
}

/// The tokens that a service knows; none: everybody may do everything.
#[derive(Clone, Default)]
pub struct Tokens {
    known: Vec<Known>,
}

#[derive(Clone)]
struct Known {
    right: Right,
    name: String,
    hash: [u8; 32],
}

/// A line of a list of tokens that cannot be read. It does not repeat the line: a secret may be in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TokenFault {
    /// Number of the line, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub why: &'static str,
}

impl fmt::Display for TokenFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "line {} of the tokens: {}; expected `read NAME sha256:HASH` or `write NAME sha256:HASH`, as \
                   `elbowroom token` prints it",
            self.line, self.why
        )
    }
}

impl std::error::Error for TokenFault {}

impl fmt::Debug for Tokens {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} tokens", self.known.len())
    }
}

impl Tokens {
    /// Reads a list: a line for each token, `#` begins a remark.
    ///
    /// # Errors
    /// The first line that cannot be read.
    pub fn read(text: &str) -> Result<Self, TokenFault> {
        let lines =
            text.lines().enumerate().map(|(i, line)| (i + 1, line.split('#').next().unwrap_or("").trim()));
        let known = lines
            .filter(|(_, line)| !line.is_empty())
            .map(|(number, line)| read_line(line).map_err(|why| TokenFault { line: number, why }));
        Ok(Self { known: known.collect::<Result<_, _>>()? })
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.known.is_empty()
    }

    /// Whose token this is.
    #[must_use]
    pub fn caller(&self, token: &str) -> Option<Caller> {
        let hash = hash(token);
        // Every known hash is compared, so that time tells nothing about which one was near.
        let mut found = None;
        for known in &self.known {
            if bool::from(known.hash.ct_eq(&hash)) {
                found = Some(Caller { name: Some(known.name.clone()), right: known.right });
            }
        }
        found
    }
}

fn read_line(line: &str) -> Result<Known, &'static str> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let [right, name, hash] = words[..] else { return Err("it has not three words") };
    let right = match right {
        "read" => Right::Read,
        "write" => Right::Write,
        _ => return Err("its first word is neither `read` nor `write`"),
    };
    let hex = hash.strip_prefix("sha256:").ok_or("its third word does not begin with `sha256:`")?;
    Ok(Known {
        right,
        name: name.to_owned(),
        hash: read_hex(hex).ok_or("its hash has not 64 hexadecimal digits")?,
    })
}

fn read_hex(hex: &str) -> Option<[u8; 32]> {
    let mut hash = [0; 32];
    if hex.len() != 64 || !hex.is_ascii() {
        return None;
    }
    for (byte, digits) in hash.iter_mut().zip(hex.as_bytes().chunks(2)) {
        *byte = u8::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()?;
    }
    Some(hash)
}

fn hash(token: &str) -> [u8; 32] {
    Sha256::digest(token.as_bytes()).into()
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// A new token and its line for the list of tokens.
pub struct NewToken {
    /// The token; it is shown once and kept nowhere.
    pub token: String,
    /// Its line.
    pub line: String,
}

impl NewToken {
    /// A token from 32 random bytes. `name` has no blanks and no `#`.
    #[must_use]
    pub fn new(right: Right, name: &str, random: [u8; 32]) -> Self {
        let token = format!("elb_{}", hex(&random));
        let line = format!("{} {name} sha256:{}", right.word(), hex(&hash(&token)));
        Self { token, line }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_token_is_known_by_its_line() {
        let (ada, board) =
            (NewToken::new(Right::Write, "ada", [1; 32]), NewToken::new(Right::Read, "board", [2; 32]));
        let tokens = Tokens::read(&format!("# ours\n{}\n\n{} # hall\n", ada.line, board.line)).unwrap();
        let caller = tokens.caller(&ada.token).unwrap();
        assert_eq!((caller.name.as_deref(), caller.right), (Some("ada"), Right::Write));
        assert_eq!(tokens.caller(&board.token).unwrap().right, Right::Read);
        assert_eq!(tokens.caller("elb_guess"), None);
        assert_eq!(tokens.caller(""), None);
    }

    #[test]
    fn neither_list_nor_fault_gives_a_token_away() {
        let ada = NewToken::new(Right::Write, "ada", [1; 32]);
        assert!(!ada.line.contains(&ada.token));
        let fault = Tokens::read(&format!("write ada {}", ada.token)).unwrap_err();
        assert!(!fault.to_string().contains(&ada.token));
        assert!(!format!("{:?}", Tokens::read(&ada.line).unwrap()).contains("sha256"));
    }

    /// SHA-256 of "abc" by FIPS 180-2, appendix B.1.
    #[test]
    fn the_hash_is_sha_256() {
        let line = "read x sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert!(Tokens::read(line).unwrap().caller("abc").is_some());
    }

    #[test]
    fn faulty_lines_are_named() {
        for (line, why) in [
            ("write ada", "three words"),
            ("admin ada sha256:00", "neither"),
            ("write ada md5:00", "sha256:"),
            ("write ada sha256:00", "64"),
            ("write ada sha256:\u{e4}\u{e4}", "64"),
        ] {
            let fault = Tokens::read(&format!("\n{line}")).unwrap_err();
            assert!(fault.line == 2 && fault.to_string().contains(why), "{fault}");
        }
    }
}
