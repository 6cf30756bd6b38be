use std::fmt;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Good to know.
    Note,
    /// Something was assumed or set aside; the plan may not be what was meant.
    Warning,
}

/// Something noticed while the shop was compiled.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Id of the order, part, tool or cell, with the bend's number where it is about one.
    pub subject: String,
    /// What was noticed, with its values.
    pub message: String,
    /// What to do about it.
    pub hint: String,
}

impl Finding {
    /// A warning.
    pub(crate) fn warning(
        subject: impl Into<String>,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self {
            severity: Severity::Warning,
            subject: subject.into(),
            message: message.into(),
            hint: hint.into(),
        }
    }

    /// A note.
    pub(crate) fn note(
        subject: impl Into<String>,
        message: impl Into<String>,
        hint: impl Into<String>,
    ) -> Self {
        Self { severity: Severity::Note, ..Self::warning(subject, message, hint) }
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let severity = match self.severity {
            Severity::Note => "note",
            Severity::Warning => "warning",
        };
        write!(f, "{severity}: `{}`: {}", self.subject, self.message)?;
        if self.hint.is_empty() { Ok(()) } else { write!(f, "\n  hint: {}", self.hint) }
    }
}
