//! Names and lists as people read them.

use crate::project::Edge;

/// Returns the name of a panel as it is read: `panel 2` where it is only a number.
pub(super) fn panel(name: &str) -> String {
    if name.chars().all(|c| c.is_ascii_digit()) {
        format!("panel {name}")
    } else {
        name.to_owned()
    }
}

/// Returns `front, back and left`.
pub(super) fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Returns the word for an edge.
pub(super) const fn edge(edge: Edge) -> &'static str {
    match edge {
        Edge::Top => "top",
        Edge::Right => "right",
        Edge::Bottom => "bottom",
        Edge::Left => "left",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_read_as_they_are_spoken() {
        let words = |n: usize| {
            ["front", "back", "left"][..n]
                .iter()
                .map(|w| (*w).to_owned())
                .collect::<Vec<_>>()
        };
        assert_eq!(listed(&words(0)), "");
        assert_eq!(listed(&words(1)), "front");
        assert_eq!(listed(&words(2)), "front and back");
        assert_eq!(listed(&words(3)), "front, back and left");
        assert_eq!(panel("2"), "panel 2");
        assert_eq!(panel("tab-1"), "tab-1");
    }
}
