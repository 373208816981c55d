//! Everyday words for what constructions make, for those who do not know their names.

use super::KINDS;

/// Words with the constructions that make such a thing, the likeliest first.
const EVERYDAY: &[(&str, &[&str])] = &[
    ("box", &["lidded-box", "tray", "drawer", "tuck-carton"]),
    ("lid", &["lidded-box"]),
    ("tin", &["lidded-box"]),
    ("gift", &["lidded-box", "pillow-pack", "tag"]),
    ("bin", &["tray"]),
    ("basket", &["tray"]),
    ("matchbox", &["drawer"]),
    ("sleeve", &["drawer", "belly-band"]),
    ("slipcase", &["drawer"]),
    ("case", &["drawer", "tuck-carton"]),
    ("carton", &["tuck-carton"]),
    (
        "packet",
        &["tuck-carton", "pillow-pack", "diamond-envelope"],
    ),
    ("package", &["tuck-carton", "pillow-pack"]),
    ("pouch", &["pillow-pack", "diamond-envelope"]),
    ("bag", &["pillow-pack", "diamond-envelope"]),
    ("letter", &["diamond-envelope"]),
    ("invitation", &["layered-card", "diamond-envelope"]),
    ("postcard", &["layered-card"]),
    ("greeting", &["layered-card"]),
    ("mat", &["layered-card"]),
    ("label", &["tag", "belly-band"]),
    ("bookmark", &["tag"]),
    ("ticket", &["tag"]),
    ("wrap", &["belly-band"]),
    ("wrapper", &["belly-band"]),
    ("strip", &["belly-band"]),
    ("ring", &["belly-band"]),
    ("slide", &["double-slider"]),
    ("pull", &["double-slider", "drawer"]),
];

/// Returns the constructions that an everyday word, or several, may mean, the likeliest first; none if it is a word for nothing here.
///
/// # Examples
///
/// ```
/// use sheetwright::construct::meant_by;
///
/// assert_eq!(meant_by("envelope"), ["diamond-envelope"]);
/// assert_eq!(meant_by("Gift Boxes")[..2], ["lidded-box", "pillow-pack"]);
/// assert!(meant_by("teapot").is_empty());
/// ```
#[must_use]
pub fn meant_by(text: &str) -> Vec<&'static str> {
    let lower = text.to_lowercase();
    if let Some(name) = misspelt(&lower) {
        return vec![name];
    }
    let mut meant = Vec::new();
    for word in lower.split(|c: char| !c.is_alphanumeric()) {
        for form in singulars(word) {
            let everyday = EVERYDAY.iter().filter(|(own, _)| *own == form);
            let listed = everyday.flat_map(|(_, names)| names.iter().copied());
            let named = KINDS.iter().map(|kind| kind.name);
            let has_it = |name: &&str| name.split('-').any(|part| part == form);
            for name in listed.chain(named.filter(has_it)) {
                if !meant.contains(&name) {
                    meant.push(name);
                }
            }
        }
    }
    meant
}

/// The name of which a text of several words is a slip: one letter in four at most.
fn misspelt(text: &str) -> Option<&'static str> {
    let most = text.chars().count() / 4;
    let names = KINDS.iter().map(|kind| kind.name);
    let near = names.map(|name| (strsim::damerau_levenshtein(text, name), name));
    let near = near.filter(|(distance, _)| *distance <= most).min()?;
    text.contains(|c: char| !c.is_alphanumeric())
        .then_some(near.1)
}

/// A word as it is, and without the ending of a plural.
fn singulars(word: &str) -> impl Iterator<Item = &str> {
    let cut = ["s", "es"]
        .into_iter()
        .filter_map(|end| word.strip_suffix(end));
    [word]
        .into_iter()
        .chain(cut)
        .filter(|form| !form.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_everyday_word_names_constructions_that_there_are() {
        for (word, names) in EVERYDAY {
            assert!(!names.is_empty(), "{word}");
            for name in *names {
                assert!(super::super::named(name).is_some(), "{word}: {name}");
            }
        }
    }

    #[test]
    fn every_word_of_a_name_means_its_construction() {
        for kind in KINDS {
            for word in kind.name.split('-') {
                assert!(meant_by(word).contains(&kind.name), "{word}");
            }
        }
    }

    #[test]
    fn a_slip_in_a_name_means_that_name_alone() {
        assert_eq!(meant_by("lided-box"), ["lidded-box"]);
        assert_eq!(meant_by("tuck carton"), ["tuck-carton"]);
    }

    #[test]
    fn words_that_makers_say_first_find_something() {
        for word in [
            "envelope",
            "card",
            "box",
            "sleeve",
            "carton",
            "pillow",
            "band",
            "slider",
            "cards",
            "matchboxes",
        ] {
            assert!(!meant_by(word).is_empty(), "{word}");
        }
    }
}
