//! What stands behind the door.

use std::num::NonZeroUsize;

use super::{Cutting, Placed, Placer, Request, Watch};
use super::{boxes, nest, spares, trim};

/// The layout engine.
#[derive(Debug, Clone, Copy)]
pub struct Engine {
    /// Threads to use.
    pub threads: NonZeroUsize,
}

impl Placer for Engine {
    fn place(&self, request: &Request, watch: &dyn Watch) -> Placed {
        let mut placed = match request.cutting {
            Cutting::EdgeToEdge { .. } => trim::place(request, self.threads, watch),
            Cutting::Outlines => nest::place(request, self.threads, watch),
            Cutting::Rows => boxes::place(request, self.threads, watch),
        };
        spares::fill(request, &mut placed.layout);
        placed
    }
}
