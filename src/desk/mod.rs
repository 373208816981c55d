//! The desk: the whole tool as a page in the browser, served on this machine alone.
//!
//! Everything that the page shows is asked of [`job`](crate::job) and kept here: [`bind`] takes a port, [`Running::run`] answers calls.
//!
//! Reading order: `answer` (what a call is, whatever carries it), `calls` (the table of all calls), `guard` and `server` (who may call,
//! and HTTP), `page` (the files of the page). The project on the desk is `open`, with `history`, `at_hand` (its files), `checked` and
//! `document` (the file as JSON and changes of it); `state` tells it to the page. Then the calls, view by view: `project`, `start` (with
//! `tried` and `examples`), `picture`, `work` (what takes long, on a thread of its own), `layout` with `hand` and `pins`, and `made` with `hints`; `forms`, `patterns` and `upload` are for what pieces are and what is printed
//! on them; `measure` is for printers, cutters and printed sheets.

mod answer;
mod at_hand;
mod calls;
mod checked;
mod document;
mod examples;
mod forms;
mod guard;
mod hand;
mod hints;
mod history;
mod layout;
mod made;
mod measure;
mod open;
mod page;
mod patterns;
mod picture;
mod pins;
mod project;
mod server;
mod start;
mod state;
mod tried;
mod upload;
mod work;

use std::collections::BTreeMap;
use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use crate::date::Date;
use crate::diagnostic::Diagnostic;
use open::Open;
use server::Server;
use work::Work;

/// How a desk is set up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Start {
    /// The folder in which projects are looked for and saved; nothing outside it is read or written.
    pub folder: PathBuf,
    /// The project file in that folder that is opened at once.
    pub project: Option<String>,
    /// The port on the loopback address; 0 takes any that is free.
    pub port: u16,
    /// The day, by which the age of measurements is counted.
    pub today: Date,
}

/// A desk that has its port and waits for [`Running::run`].
#[derive(Debug)]
pub struct Running(Server);

/// Sets up a desk and takes its port.
///
/// # Errors
/// If the project cannot be read, the port not be had, or the system gives no random key.
pub fn bind(start: &Start) -> Result<Running, Diagnostic> {
    let folder = start.folder.canonicalize().map_err(|e| {
        let message = format!("cannot read {}: {e}", start.folder.display());
        Diagnostic::error("file.unreadable", message)
    })?;
    let mut open = Open::new(folder, start.today);
    if let Some(project) = &start.project {
        let opened = open.open(project);
        opened.map_err(|problem| Diagnostic::error("file.unreadable", problem))?;
    }
    let desk = Desk {
        key: random_key()?,
        open: Mutex::new(open),
        work: Arc::default(),
        shown: Mutex::default(),
        measured: Mutex::default(),
    };
    Server::bind(start.port, desk).map(Running)
}

impl Running {
    /// The address that it is reached by.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.0.address()
    }

    /// The key that calls need to change anything; the page is given it.
    #[must_use]
    pub fn key(&self) -> &str {
        &self.0.desk().key
    }

    /// Answers calls until the program ends.
    ///
    /// # Errors
    /// If the system takes the port away.
    pub fn run(self) -> Result<(), Diagnostic> {
        self.0.run()
    }
}

/// Everything on the desk.
#[derive(Debug)]
struct Desk {
    key: String,
    open: Mutex<Open>,
    work: Arc<Work>,
    /// Pictures of what never changes, by their calls.
    shown: Mutex<BTreeMap<String, Arc<String>>>,
    /// Files that came of measuring last, by their calls.
    measured: Mutex<BTreeMap<&'static str, Vec<u8>>>,
}

impl Desk {
    /// The project, for one call at a time.
    fn open(&self) -> MutexGuard<'_, Open> {
        locked(&self.open)
    }
}

/// What is locked, even if a call that had it broke off: each leaves it whole.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// 32 random bytes in hexadecimal.
fn random_key() -> Result<String, Diagnostic> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes)
        .map_err(|e| Diagnostic::error("desk.key", format!("no random key can be had: {e}")))?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}
