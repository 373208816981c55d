//! What stands behind the door.

use std::num::NonZeroUsize;

use super::boxes;
use super::{Placed, Placer, Request, Watch};

/// The layout engine.
#[derive(Debug, Clone, Copy)]
pub struct Engine {
    /// Threads to use.
    pub threads: NonZeroUsize,
}

impl Placer for Engine {
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed {
        boxes::place(request, self.threads, watch)
    }
}
