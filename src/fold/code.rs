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
    CREASE_TWICE = "fold.crease-twice", "two creases on one line are folded differently";
    RING = "fold.ring", "panels hang together in a ring that does not close";
    APART = "fold.apart", "a panel hangs on no crease";
    TEAR = "fold.tear", "the paper would tear along a crease";
    STUCK = "fold.stuck", "glue does not land where it should";
    FLUSH = "fold.flush", "a panel folded flat does not cover what it should";
    MEET = "fold.meet", "edges do not meet as designed";
    TUCK = "fold.tuck", "a flap does not go in as designed";
    HINGE = "fold.hinge", "two edges that turn about each other are not in one place";
    CROSSING = "fold.crossing", "one panel passes through another";
    LAYERS = "fold.layers", "layers lie on each other in a ring";
    LOCKED = "fold.locked", "what should move is stuck fast";
    CLEARANCE = "fold.clearance", "what slides has too little room or too much";
    TRAVEL = "fold.travel", "what slides does not go all its way, or is not held there as it should be";
    GLUE_FREE = "fold.glue-free", "glue on an area that is to be kept free of it";
    BAND_RUN = "fold.band-run", "a panel of a band is on the wrong run";
    BAND_TURN = "fold.band-turn", "a strip or a seam comes to a turning edge";
    BAND_STRIP = "fold.band-strip", "a panel is stuck to the band elsewhere than declared";
    BAND_TRAVEL = "fold.band-travel", "the panels of a band do not go equally far in opposite directions";
    BAND_LOOP = "fold.band-loop", "the band is too short or too long for its core";
    BAND_SLOT = "fold.band-slot", "the slot is too low or too high for what is in it";
    READS_UPSIDE_DOWN = "fold.reads-upside-down", "a print that has an up stands on its head on a wall";
    READS_ON_SIDE = "fold.reads-on-side", "stripes lie on their side on a wall";
    PATTERN_BREAKS = "fold.pattern-breaks", "a print cannot run on where two edges come together";
    UNSEEN = "fold.unseen", "a print ends up inside, where nobody sees it";
    GRAIN_ACROSS = "fold.grain-across", "the longest fold of a piece runs across its grain";
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
