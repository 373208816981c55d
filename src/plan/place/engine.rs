//! What stands behind the door.

use std::num::NonZeroUsize;

use super::{Placed, Placer, Request, Watch};
use super::{boxes, spares};

/// The layout engine.
#[derive(Debug, Clone, Copy)]
pub struct Engine {
    /// Threads to use.
    pub threads: NonZeroUsize,
}

impl Placer for Engine {
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed {
        let mut placed = boxes::place(request, self.threads, watch);
        spares::fill(request, &mut placed.layout);
        placed
    }
}
