//! Which day it is: asked once at the edge, so that nothing else depends on the clock.

use std::time::{SystemTime, UNIX_EPOCH};

use crate::date::{self, Date};

const SECONDS_PER_DAY: u64 = 86_400;

/// Returns the day by universal time; the ages that are counted from it are months.
pub(super) fn today() -> Date {
    let since = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .unwrap_or_default();
    let days = i64::try_from(since.as_secs() / SECONDS_PER_DAY).unwrap_or(i64::MAX);
    date::from_days(days.min(date::days((9999, 12, 31))))
}
