//! What is asked of the desk and what it answers, whatever carries it.

use std::collections::BTreeMap;

use serde::de::DeserializeOwned;
use serde_json::{Value, json};

/// One call.
#[derive(Debug, Default)]
pub(super) struct Asked {
    /// What stands behind the question mark.
    pub(super) query: BTreeMap<String, String>,
    /// The path's last part, where the call has one.
    pub(super) rest: String,
    /// The body.
    pub(super) body: Vec<u8>,
}

impl Asked {
    /// The body as the call wants it.
    pub(super) fn json<T: DeserializeOwned>(&self) -> Result<T, Refused> {
        let read = serde_json::from_slice(&self.body);
        read.map_err(|e| Refused::wrong(format!("the desk did not understand this call: {e}")))
    }
}

/// A good answer.
#[derive(Debug)]
pub(super) enum Answer {
    /// For the page's code.
    Json(Value),
    /// A file.
    File {
        /// Its media type.
        kind: &'static str,
        /// Its bytes.
        bytes: Vec<u8>,
        /// The name it is kept under, where it is kept rather than looked at.
        name: Option<String>,
    },
}

impl Answer {
    /// An SVG picture.
    pub(super) fn svg(text: String) -> Self {
        Self::File {
            kind: "image/svg+xml",
            bytes: text.into_bytes(),
            name: None,
        }
    }
}

/// Why there is none.
#[derive(Debug)]
pub(super) struct Refused {
    /// The status code of HTTP.
    pub(super) status: u16,
    /// `problem` says what is wrong; more may stand beside it.
    pub(super) body: Value,
}

impl Refused {
    fn new(status: u16, problem: &str) -> Self {
        let body = json!({ "problem": problem });
        Self { status, body }
    }

    /// The call is not as it should be.
    pub(super) fn wrong(problem: impl AsRef<str>) -> Self {
        Self::new(400, problem.as_ref())
    }

    /// It is from elsewhere, or without the key.
    pub(super) fn forbidden(problem: &str) -> Self {
        Self::new(403, problem)
    }

    /// There is nothing of that name.
    pub(super) fn missing() -> Self {
        Self::new(404, "there is nothing here")
    }

    /// Something that should not happen did.
    pub(super) fn broken(problem: &str) -> Self {
        Self::new(500, problem)
    }

    /// What is sent is larger than it may be.
    pub(super) fn too_large(most_bytes: usize) -> Self {
        let most = most_bytes / 1_000_000;
        Self::new(413, &format!("this is more than {most} MB"))
    }

    /// Another tab was quicker; the present state goes with it.
    pub(super) fn stale(state: &Value) -> Self {
        let problem = "this was changed in another window meanwhile";
        let body = json!({ "problem": problem, "state": state });
        Self { status: 409, body }
    }

    /// There is something else on the disk.
    pub(super) fn other_on_disk(problem: &str, on_disk: &str, state: &Value) -> Self {
        let body = json!({ "problem": problem, "on_disk": on_disk, "state": state });
        Self { status: 409, body }
    }
}

/// What a call comes to.
pub(super) type Outcome = Result<Answer, Refused>;
