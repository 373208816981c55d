//! The diagnostic codes of this room, in one table.

/// Declares each code as a constant and lists all of them with their meaning.
macro_rules! codes {
    ($($name:ident = $code:literal, $meaning:literal;)*) => {
        $(pub(super) const $name: &str = $code;)*

        /// Every code that the fold proof can give, with what it means.
        pub const CODES: &[(&str, &str)] = &[$(($code, $meaning)),*];
    };
}

codes! {
    CALIPER = "fold.caliper", "the thickness of a folded paper is not known";
    CREASE_END = "fold.crease-end", "a crease ends in the middle of a panel";
    PANEL = "fold.panel", "a panel has two names, or a name has no panel";
    RING = "fold.ring", "panels hang together in a ring";
    APART = "fold.apart", "a panel hangs on no crease";
    TEAR = "fold.tear", "the paper would tear along a crease";
    STUCK = "fold.stuck", "glue does not land where it should";
    MEET = "fold.meet", "edges do not meet as designed";
    TUCK = "fold.tuck", "a flap does not go in as designed";
    HINGE = "fold.hinge", "two edges that turn about each other are not in one place";
    CROSSING = "fold.crossing", "one panel passes through another";
    LAYERS = "fold.layers", "layers lie on each other in a ring";
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::CODES;

    #[test]
    fn every_code_is_listed_once_and_belongs_to_this_room() {
        let unique: BTreeSet<_> = CODES.iter().map(|(code, _)| code).collect();
        assert_eq!(unique.len(), CODES.len());
        assert!(
            CODES
                .iter()
                .all(|(code, meaning)| code.starts_with("fold.") && !meaning.is_empty())
        );
    }
}
