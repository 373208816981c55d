//! Many errors at a glance.

use std::fmt;

/// Errors in order of size.
#[derive(Debug, Clone, Default)]
pub(crate) struct Errors(Vec<f64>);

impl Errors {
    pub(crate) fn of(values: impl IntoIterator<Item = f64>) -> Self {
        let mut all: Vec<f64> = values.into_iter().collect();
        all.sort_by(f64::total_cmp);
        Self(all)
    }

    pub(crate) fn count(&self) -> usize {
        self.0.len()
    }

    /// Returns the least error that this share of all does not exceed.
    pub(crate) fn quantile(&self, share: f64) -> f64 {
        let rank = (share * self.0.len() as f64).ceil().max(1.0) as usize;
        self.0.get(rank - 1).copied().unwrap_or(f64::NAN)
    }

    pub(crate) fn median(&self) -> f64 {
        self.quantile(0.5)
    }

    pub(crate) fn p95(&self) -> f64 {
        self.quantile(0.95)
    }

    pub(crate) fn worst(&self) -> f64 {
        self.quantile(1.0)
    }
}

impl fmt::Display for Errors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "median {:.4}, p95 {:.4}, worst {:.4} ({})",
            self.median(),
            self.p95(),
            self.worst(),
            self.count()
        )
    }
}
