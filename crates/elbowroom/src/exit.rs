//! Exit codes. They are part of the interface: scripts rely on them.

use std::process::ExitCode;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exit {
    /// Done; for `verify`: the schedule is valid.
    Done,
    /// `verify`: the schedule breaks a rule.
    Invalid,
    /// The input has faults, a file cannot be read, or the command line is wrong.
    BadInput,
    /// No valid schedule exists, or none was found in the time given; the message says which.
    NoSchedule,
    /// A result could not be written.
    NotWritten,
    /// A fault of the program itself: the verifier refused the engine's answer.
    OurFault,
}

impl Exit {
    /// The number that the shell sees.
    pub const fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Invalid => 1,
            Self::BadInput => 2,
            Self::NoSchedule => 3,
            Self::NotWritten => 4,
            Self::OurFault => 70,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

/// The table of exit codes for `--help`.
pub const TABLE: &str = "\
Exit codes:
  0   done; for `verify`: the schedule is valid
  1   `verify`: the schedule breaks a rule
  2   the input has faults, a file cannot be read, or the command line is wrong
  3   no valid schedule exists, or none was found in the time given
  4   a result could not be written
  70  a fault of the program itself; please report it";
