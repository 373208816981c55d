//! Every damage to the examples, as the program makes them, is found; saving them again is none.
//!
//! Numbers are worked out from the project files. A herb packet's box begins where the printable margin of 6.35 mm, the square of
//! 8 mm that a register mark keeps free (on the left only) and the bleed of 3.175 mm end: at (17.525, 9.525). Plant labels begin
//! at (5, 5), where the cutter begins to reach.

use std::fs;

use sha2::{Digest, Sha256};

use crate::damage::found::{assert_found, saved_again, verdict};
use crate::damage::{Files, changed, pdf, svg};
use crate::program::{examples, root};

/// Cut files round to 4 decimals of a millimetre, a PDF's numbers are written to 9 and read with 24 bits: see `verify_finds`.
const ROUNDING_MM: f64 = 0.0002;

/// The example's files, without the report, whose digests tell any damage.
fn made(example: &str) -> Files {
    let mut files = crate::made::example(example).files.clone();
    files.remove("report.json").unwrap();
    files
}

#[test]
fn nothing_is_found_in_any_example_however_it_is_saved() {
    for example in examples() {
        for files in saved_again(&made(&example)) {
            let verdict = verdict(&files);
            let findings: Vec<_> = verdict.findings().collect();
            assert!(findings.is_empty(), "{example}: {findings:#?}");
            let largest_mm = verdict.largest_deviation_mm();
            assert!(largest_mm < ROUNDING_MM, "{example}: {largest_mm}");
        }
    }
}

fn packets_with(file: &str, damage: impl FnOnce(&[u8]) -> Vec<u8>) -> Files {
    changed(&made("herb-packet"), file, damage)
}

fn labels_with(file: &str, damage: impl FnOnce(&[u8]) -> Vec<u8>) -> Files {
    changed(&made("plant-labels"), file, damage)
}

/// Digest of a file of an example, as `sha256sum` gives it.
fn digest(file: &str) -> String {
    let bytes = fs::read(root().join("examples").join(file)).unwrap();
    let digest = Sha256::digest(&bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Moves right by two hundredths of a millimetre.
const MOVED: [f64; 6] = [1.0, 0.0, 0.0, 1.0, 0.02, 0.0];

#[test]
fn a_piece_moved_in_a_cut_file_is_found() {
    let packets = packets_with("cut-01.svg", |bytes| {
        svg::map_paths(bytes, "packet_1.", |x, y| (x + 0.02, y))
    });
    // The crease begins 1/2 in right of and below the box's corner.
    for (id, numbers) in [
        (
            "packet#1.outline",
            ["x 17.5250, y 9.5250 mm", "x 17.5450, y 9.5250 mm"],
        ),
        (
            "packet#1.crease-1",
            ["x 30.2250, y 22.2250 mm", "x 30.2450, y 22.2250 mm"],
        ),
    ] {
        assert_found(&packets, "cut-01.svg", "verify.moved", id, numbers);
    }
    let labels = labels_with("cut-01.svg", |bytes| {
        svg::map_paths(bytes, "oval_1.", |x, y| (x, y + 0.02))
    });
    // The hole of 1/8 in is centred 3/16 in right of and 1 in below the corner: its box begins at 5 + 4.7625 - 1.5875 and
    // 5 + 25.4 - 1.5875.
    for (id, numbers) in [
        (
            "oval#1.outline",
            ["x 5.0000, y 5.0000 mm", "x 5.0000, y 5.0200 mm"],
        ),
        (
            "oval#1.hole-1",
            ["x 8.1750, y 28.8125 mm", "x 8.1750, y 28.8325 mm"],
        ),
    ] {
        assert_found(&labels, "cut-01.svg", "verify.moved", id, numbers);
    }
}

#[test]
fn a_piece_scaled_by_a_hundredth_of_a_per_cent_in_a_cut_file_is_found() {
    // About the sheet's corner. A stake of 1 x 5 in: 25.4 and 127 mm become 25.40254 and 127.0127 mm. Ten of them stand side by
    // side below two rows of leaves, and the last one ends 5 + 10 x 25.4 + 9 x 3 = 286 mm from the left.
    let labels = labels_with("cut-02.svg", |bytes| {
        svg::map_paths(bytes, "stake_10.", |x, y| (x * 1.0001, y * 1.0001))
    });
    assert_found(
        &labels,
        "cut-02.svg",
        "verify.scaled",
        "stake#10.outline",
        ["25.4000 x 127.0000 mm", "25.4025 x 127.0127 mm"],
    );
    // A packet of 5 1/2 x 4 3/8 in; from 17.525 and 9.525 to 157.225 and 120.65 mm, each times 1.0001 and rounded to 4 decimals.
    let packets = packets_with("cut-01.svg", |bytes| {
        svg::map_paths(bytes, "packet_1.", |x, y| (x * 1.0001, y * 1.0001))
    });
    assert_found(
        &packets,
        "cut-01.svg",
        "verify.scaled",
        "packet#1.outline",
        ["139.7000 x 111.1250 mm", "139.7139 x 111.1361 mm"],
    );
}

#[test]
fn a_piece_dropped_from_a_cut_file_is_found() {
    let packets = packets_with("cut-01.svg", |bytes| svg::drop(bytes, "packet_1."));
    assert_found(
        &packets,
        "cut-01.svg",
        "verify.missing",
        "packet#1.crease-1",
        ["x 30.2250, y 22.2250 mm", "nothing"],
    );
    let labels = labels_with("cut-01.svg", |bytes| svg::drop(bytes, "oval_1."));
    assert_found(
        &labels,
        "cut-01.svg",
        "verify.missing",
        "oval#1.outline",
        ["x 5.0000, y 5.0000 mm", "nothing"],
    );
}

#[test]
fn two_pieces_swapped_in_a_cut_file_are_found() {
    // The second packet lies 4 3/8 in and twice the bleed lower: 9.525 + 111.125 + 6.35 = 127.
    let packets = packets_with("cut-01.svg", |bytes| {
        svg::swap_ids(bytes, "packet_1.", "packet_2.")
    });
    let corners = ["x 17.5250, y 9.5250 mm", "x 17.5250, y 127.0000 mm"];
    let id = "packet#1.outline";
    assert_found(&packets, "cut-01.svg", "verify.swapped", id, corners);
    // The second oval tag lies 3 in and the gap of 3 mm to the right.
    let labels = labels_with("cut-01.svg", |bytes| {
        svg::swap_ids(bytes, "oval_1.", "oval_2.")
    });
    let corners = ["x 84.2000, y 5.0000 mm", "x 5.0000, y 5.0000 mm"];
    let id = "oval#2.outline";
    assert_found(&labels, "cut-01.svg", "verify.swapped", id, corners);
}

#[test]
fn cutting_out_before_creasing_or_perforating_is_found() {
    // Two packets have four creases each: of ten steps the first comes after the two cuts.
    let packets = packets_with("cut-01.svg", |bytes| {
        svg::reorder_layers(bytes, "cut", "crease")
    });
    let id = "packet#1.crease-1";
    assert_found(
        &packets,
        "cut-01.svg",
        "verify.order",
        id,
        ["1 of 10", "3 of 10"],
    );
    // Ten stakes with a perforation, two holes and an outline; ten leaves with three veins, a hole and an outline: 90 steps, the
    // 20 outlines last.
    let labels = labels_with("cut-02.svg", |bytes| {
        svg::reorder_layers(bytes, "cut", "perforation")
    });
    let id = "stake#1.perforation-1";
    assert_found(
        &labels,
        "cut-02.svg",
        "verify.order",
        id,
        ["1 of 90", "21 of 90"],
    );
}

#[test]
fn cut_and_crease_with_each_others_names_are_found() {
    let packets = packets_with("cut-01.svg", |bytes| {
        svg::swap_layer_names(bytes, "cut", "crease")
    });
    for (id, layers) in [
        ("packet#1.crease-1", ["crease", "cut"]),
        ("packet#2.outline", ["cut", "crease"]),
    ] {
        assert_found(&packets, "cut-01.svg", "verify.layer", id, layers);
    }
}

#[test]
fn artwork_moved_by_two_hundredths_in_print_is_found() {
    // The flat ground, which is clipped to the bleed: (17.525, 9.525) less 3.175 each.
    let ground = packets_with("print.pdf", |bytes| {
        pdf::map_tagged(bytes, 1, "artwork", "packet#1", MOVED)
    });
    let corners = ["x 14.3500, y 6.3500 mm", "x 14.3700, y 6.3500 mm"];
    assert_found(&ground, "print.pdf", "verify.moved", "packet#1", corners);
    // The basil, 2 1/8 in wide, 11/16 in and 15/16 in from the corner, inside a clip that stays.
    let basil = packets_with("print.pdf", |bytes| {
        let right = [1.0, 0.0, 0.0, 1.0, 0.02 / (2.125 * 25.4), 0.0];
        pdf::map_picture(bytes, 1, ("packet#1", 0), right)
    });
    let corners = ["x 34.9875, y 33.3375 mm", "x 35.0075, y 33.3375 mm"];
    assert_found(&basil, "print.pdf", "verify.moved", "packet#1", corners);
}

#[test]
fn artwork_turned_by_180_degrees_in_print_is_found() {
    let half_turn = [-1.0, 0.0, 0.0, -1.0, 1.0, 1.0];
    let turns = ["0 deg", "180 deg"];
    // Basil, a vector picture; the seed bed, a photograph; the sprig on the closing flap, which is planned head down: turns are told
    // from how it is planned.
    for number in 0..3 {
        let packets = packets_with("print.pdf", |bytes| {
            pdf::map_picture(bytes, 1, ("packet#2", number), half_turn)
        });
        assert_found(&packets, "print.pdf", "verify.turned", "packet#2", turns);
    }
}

#[test]
fn pictures_swapped_in_print_are_found() {
    let [basil, bed] =
        ["art/basil.svg", "art/seedbed.jpg"].map(|art| digest(&format!("herb-packet/{art}")));
    let packets = packets_with("print.pdf", |bytes| {
        pdf::swap_pictures(bytes, 1, ("packet#1", 0), ("packet#1", 1))
    });
    for digests in [[&*basil, &*bed], [&*bed, &*basil]] {
        assert_found(&packets, "print.pdf", "verify.artwork", "packet#1", digests);
    }
    // Each edition's labels with the other's picture: the first 14 are for the sage kits, the next 14 for the plum ones.
    let [sage, plum] =
        ["art/seedling.png", "art/radish.png"].map(|art| digest(&format!("class-kit/{art}")));
    let kits = changed(&made("class-kit"), "print.pdf", |bytes| {
        pdf::swap_sources(bytes, &sage, &plum)
    });
    for (id, digests) in [
        ("label#1", [&*sage, &*plum]),
        ("label#28", [&*plum, &*sage]),
    ] {
        assert_found(&kits, "print.pdf", "verify.artwork", id, digests);
    }
}

#[test]
fn pieces_swapped_or_dropped_in_print_are_found() {
    let swapped = packets_with("print.pdf", |bytes| {
        pdf::swap_ids(bytes, 1, "artwork", "packet#1", "packet#2")
    });
    let corners = ["x 14.3500, y 6.3500 mm", "x 14.3500, y 123.8250 mm"];
    assert_found(&swapped, "print.pdf", "verify.swapped", "packet#1", corners);
    // On the back, turned over left to right: 215.9 - (17.525 + 139.7) - 3.175 = 55.5.
    let dropped = packets_with("print.pdf", |bytes| {
        pdf::drop_tagged(bytes, 2, "artwork", "packet#1")
    });
    let corners = ["x 55.5000, y 6.3500 mm", "nothing"];
    assert_found(&dropped, "print.pdf", "verify.missing", "packet#1", corners);
}

#[test]
fn pieces_moved_scaled_dropped_or_swapped_in_the_proof_are_found() {
    let moved = packets_with("proof.pdf", |bytes| {
        pdf::map_tagged(bytes, 1, "crease", "packet#1.crease-1", MOVED)
    });
    let corners = ["x 30.2250, y 22.2250 mm", "x 30.2450, y 22.2250 mm"];
    let id = "packet#1.crease-1";
    assert_found(&moved, "proof.pdf", "verify.moved", id, corners);
    let scaled = labels_with("proof.pdf", |bytes| {
        let larger = [1.0001, 0.0, 0.0, 1.0001, 0.0, 0.0];
        pdf::map_tagged(bytes, 2, "cut", "stake#10.outline", larger)
    });
    let sizes = ["25.4000 x 127.0000 mm", "25.4025 x 127.0127 mm"];
    let id = "stake#10.outline";
    assert_found(&scaled, "proof.pdf", "verify.scaled", id, sizes);
    let dropped = labels_with("proof.pdf", |bytes| {
        pdf::drop_tagged(bytes, 1, "hole", "oval#1.hole-1")
    });
    let corners = ["x 8.1750, y 28.8125 mm", "nothing"];
    let id = "oval#1.hole-1";
    assert_found(&dropped, "proof.pdf", "verify.missing", id, corners);
    let swapped = labels_with("proof.pdf", |bytes| {
        pdf::swap_ids(bytes, 1, "cut", "oval#1.outline", "oval#2.outline")
    });
    let corners = ["x 5.0000, y 5.0000 mm", "x 84.2000, y 5.0000 mm"];
    let id = "oval#1.outline";
    assert_found(&swapped, "proof.pdf", "verify.swapped", id, corners);
}
