//! The examples, carried in the program with all that they name.

use std::sync::Arc;

use super::at_hand::Held;

/// An example.
#[derive(Debug)]
pub(super) struct Example {
    /// Its name in calls.
    pub(super) id: &'static str,
    /// Its project file.
    pub(super) text: &'static str,
    /// The files that it names.
    files: &'static [(&'static str, &'static [u8])],
}

impl Example {
    /// The files that it names, by their paths.
    pub(super) fn held(&self) -> Held {
        let files = self.files.iter();
        let held = files.map(|(path, bytes)| ((*path).to_owned(), Arc::new(bytes.to_vec())));
        held.collect()
    }
}

macro_rules! example {
    ($id:literal, [$($path:literal),* $(,)?]) => {
        Example {
            id: $id,
            text: include_str!(concat!("../../examples/", $id, "/project.toml")),
            files: &[$((
                $path,
                include_bytes!(concat!("../../examples/", $id, "/", $path)).as_slice(),
            )),*],
        }
    };
}

/// All of them, the simplest first.
pub(super) const EXAMPLES: &[Example] = &[
    example!("plant-labels", ["art/leaf.svg", "bench-cutter.toml"]),
    example!("place-cards", ["guests.csv", "hall-printer.toml"]),
    example!("seed-drawer", ["art/bean.svg", "hall-printer.toml"]),
    example!("bulb-box", ["art/tulip.svg", "hall-printer.toml"]),
    example!(
        "herb-packet",
        [
            "art/basil.svg",
            "art/label.svg",
            "art/seedbed.jpg",
            "art/sprig.svg",
            "attic-printer.toml",
            "bench-cutter.toml"
        ]
    ),
    example!(
        "swap-slider",
        [
            "art/bring.svg",
            "art/cover.svg",
            "art/take.svg",
            "attic-printer.toml"
        ]
    ),
    example!("gift-kit", ["art/dill.svg", "attic-printer.toml"]),
    example!("class-kit", ["art/radish.png", "art/seedling.png"]),
];

/// The example of this name.
pub(super) fn named(id: &str) -> Option<&'static Example> {
    EXAMPLES.iter().find(|example| example.id == id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{job, load};

    #[test]
    fn every_example_reads_with_the_files_it_carries() {
        for example in EXAMPLES {
            let held = example.held();
            let hand = super::super::at_hand::AtHand::new(&held, None);
            let options = load::Options::default();
            let read = job::check("project.toml", example.text, &hand, &options);
            assert!(read.is_ok(), "{}: {:?}", example.id, read.err());
            let asked = hand.into_asked();
            assert!(
                held.keys().all(|path| asked.contains(path)),
                "{}: {asked:?}",
                example.id
            );
        }
    }

    #[test]
    fn every_folder_of_examples_is_carried() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/examples");
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            assert_eq!(
                path.join("project.toml").exists(),
                named(&name).is_some(),
                "{name}"
            );
        }
    }
}
