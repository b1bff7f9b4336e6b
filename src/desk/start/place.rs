//! A place where a meter may be, and what was heard there.

/// A place where a meter may be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// What a URI for it begins with.
    pub offer: String,
    /// What is known of it.
    pub hearing: Hearing,
}

/// What was heard.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Hearing {
    /// Listening; how, and how long still.
    Listening(String),
    /// Readings of a known kind.
    Heard {
        /// What the meter should be showing.
        shown: String,
        /// The meter's URI.
        uri: String,
    },
    /// Nothing that was understood, in words.
    Unclear {
        /// What there was instead.
        words: String,
    },
    /// Nothing has to be heard.
    Ready {
        /// The URI.
        uri: String,
    },
}

impl Place {
    /// A place that can be used without listening.
    pub fn ready(name: &str, uri: &str) -> Self {
        Self {
            name: name.into(),
            offer: uri.into(),
            hearing: Hearing::Ready { uri: uri.into() },
        }
    }

    /// Whether it is a display that is read by eye.
    pub fn is_by_eye(&self) -> bool {
        self.offer == "manual:"
    }

    /// Its URI, when it can be used.
    pub fn uri(&self) -> Option<&str> {
        match &self.hearing {
            Hearing::Heard { uri, .. } | Hearing::Ready { uri } => Some(uri),
            Hearing::Listening(_) | Hearing::Unclear { .. } => None,
        }
    }
}
