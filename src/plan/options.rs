//! How planning is carried out; nothing here changes what comes out.

use std::num::NonZeroUsize;

use super::place::{NoWatch, Watch};

/// How planning is carried out.
#[derive(Clone, Copy)]
pub struct PlanOptions<'a> {
    /// Threads to use; the plan is the same with any number.
    pub threads: NonZeroUsize,
    /// Looks on, and may stop the search.
    pub watch: &'a dyn Watch,
}

impl Default for PlanOptions<'_> {
    /// One thread, never stopped.
    fn default() -> Self {
        Self {
            threads: NonZeroUsize::MIN,
            watch: &NoWatch,
        }
    }
}

impl std::fmt::Debug for PlanOptions<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PlanOptions")
            .field("threads", &self.threads)
            .finish_non_exhaustive()
    }
}
