//! How planning is carried out.

use std::num::NonZeroUsize;

use super::place::{Effort, NoWatch, Watch};

/// How planning is carried out.
#[derive(Clone, Copy)]
pub struct PlanOptions<'a> {
    /// Threads to use; the plan is the same with any number.
    pub threads: NonZeroUsize,
    /// How much work is put into the layout; the one thing here that the plan depends on.
    pub effort: Effort,
    /// Looks on, and may stop the search.
    pub watch: &'a dyn Watch,
}

impl Default for PlanOptions<'_> {
    /// One thread, the usual effort, never stopped.
    fn default() -> Self {
        Self {
            threads: NonZeroUsize::MIN,
            effort: Effort::Usual,
            watch: &NoWatch,
        }
    }
}

impl std::fmt::Debug for PlanOptions<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("PlanOptions")
            .field("threads", &self.threads)
            .field("effort", &self.effort)
            .finish_non_exhaustive()
    }
}
