//! A project made larger or smaller, and checked before and after.

use super::check;
use super::starter;
use crate::diagnostic::{Diagnostic, Warned};
use crate::load::{self, Assets, Factor, NamedText, Rounding, Scaled};
use crate::project::Project;

/// A project that was scaled, and what is to be said of it.
#[derive(Debug, Clone)]
pub struct ScaledProject {
    /// The new text, with what grew and what did not.
    pub scaled: Scaled,
    /// The new project with its warnings, or its mistakes.
    pub checked: Result<Warned<Project>, Vec<Diagnostic>>,
    /// If it has mistakes, the whole percentage nearest to what was asked for that was tried and has none.
    pub works_by: Option<Factor>,
}

/// Scales a project; see [`load::scale`]. The new one is checked under its own name. What a file that was begun from a few sizes says of
/// them in its head is said anew.
///
/// # Errors
///
/// All mistakes of the project as it is.
pub fn scale(
    project: &NamedText,
    new_name: &str,
    assets: &dyn Assets,
    by: Factor,
    rounding: Rounding,
) -> Result<ScaledProject, Vec<Diagnostic>> {
    let options = load::Options::default();
    let declared = check(&project.name, &project.text, assets, &options)?.value;
    let scaled_by = |by: Factor| {
        let mut scaled = load::scale(&project.text, &declared, by, rounding);
        let mut checked = check(new_name, &scaled.text, assets, &options);
        let retold = checked.as_ref().ok();
        let retold = retold.and_then(|read| starter::retold(&scaled.text, &read.value));
        if let Some(text) = retold {
            checked = check(new_name, &text, assets, &options);
            scaled.text = text;
        }
        (scaled, checked)
    };
    let (scaled, checked) = scaled_by(by);
    let works = |percent: u32| {
        let by = Factor::of_percent(percent).ok()?;
        scaled_by(by).1.is_ok().then_some(by)
    };
    let works_by = match &checked {
        Ok(_) => None,
        Err(_) => by.percents_on_the_way().and_then(|way| nearest(way, works)),
    };
    Ok(ScaledProject {
        scaled,
        checked,
        works_by,
    })
}

/// Returns what works for the last number that does, found by halving the way from the first, which need not.
fn nearest<T>((first, last): (u32, u32), works: impl Fn(u32) -> Option<T>) -> Option<T> {
    let (mut good, mut bad, mut found) = (i64::from(first), i64::from(last), None);
    let tried = |at: i64| u32::try_from(at).ok().and_then(&works);
    if let Some(at_last) = tried(bad) {
        return Some(at_last);
    }
    if let Some(at_first) = tried(good) {
        found = Some(at_first);
    }
    while found.is_some() && (good - bad).abs() > 1 {
        let middle = good.midpoint(bad);
        match tried(middle) {
            Some(at_middle) => (good, found) = (middle, Some(at_middle)),
            None => bad = middle,
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_number_that_works_is_found_from_either_side() {
        let up_to = |most: u32| move |n: u32| (n <= most).then_some(n);
        assert_eq!(nearest((101, 999), up_to(444)), Some(444));
        assert_eq!(nearest((101, 999), up_to(2000)), Some(999));
        assert_eq!(nearest((101, 999), up_to(100)), None);
        let down_to = |least: u32| move |n: u32| (n >= least).then_some(n);
        assert_eq!(nearest((99, 3), down_to(15)), Some(15));
    }
}
