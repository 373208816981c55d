//! Every damage to a made folder is found, on the files as written and as other programs save them again.

use crate::damage::found::{assert_found, saved_again, verdict};
use crate::damage::{changed, pdf, svg};
use crate::made_by_hand;

/// Largest deviation of the undamaged files: 4 decimals of a millimetre in a cut file are off by half of the last at most, in x
/// and y; a PDF reader with 24 bit numbers is off by 792 pt / 2^24 in each of a few steps.
const ROUNDING_MM: f64 = 0.0002;

#[test]
fn nothing_is_found_in_an_undamaged_folder_however_it_is_saved() {
    for files in saved_again(&made_by_hand::folder()) {
        let verdict = verdict(&files);
        assert!(
            verdict.is_proved(),
            "{:#?}",
            verdict.findings().collect::<Vec<_>>()
        );
        assert!(
            verdict.largest_deviation_mm() < ROUNDING_MM,
            "{}",
            verdict.largest_deviation_mm()
        );
        let names: Vec<&str> = verdict
            .files
            .iter()
            .map(|file| file.name.as_str())
            .collect();
        assert_eq!(
            names,
            [
                "plan.json",
                "print.pdf",
                "proof.pdf",
                "cut-01.svg",
                "sheet-01.png",
                "sheet-01-back.png"
            ]
        );
        assert!(verdict.files.iter().all(|file| file.compared > 0));
    }
}

#[test]
fn a_piece_moved_by_two_hundredths_in_the_cut_file_is_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "packet_1.", |x, y| (x + 0.02, y))
    });
    let numbers = ["x 20.0000, y 20.0000 mm", "x 20.0200, y 20.0000 mm"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.moved",
        "packet#1.outline",
        numbers,
    );
    let numbers = ["x 20.0000, y 40.0000 mm", "x 20.0200, y 40.0000 mm"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.moved",
        "packet#1.crease-1",
        numbers,
    );
}

#[test]
fn a_move_below_the_tolerance_is_reported_but_no_finding() {
    let moved = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "packet_1.", |x, y| (x + 0.008, y))
    });
    let verdict = verdict(&moved);
    assert!(verdict.is_proved());
    assert!((verdict.largest_deviation_mm() - 0.008).abs() < ROUNDING_MM);
}

#[test]
fn a_piece_scaled_by_a_ten_thousandth_in_the_cut_file_is_found() {
    // About the sheet's corner: 250 mm become 250.025 mm.
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "row.marker_2.", |x, y| (x * 1.0001, y * 1.0001))
    });
    let numbers = ["20.0000 x 250.0000 mm", "20.0020 x 250.0250 mm"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.scaled",
        "row/marker#2.outline",
        numbers,
    );
}

#[test]
fn a_piece_dropped_from_the_cut_file_is_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::drop(bytes, "packet_2.")
    });
    let numbers = ["x 90.0000, y 20.0000 mm", "nothing"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.missing",
        "packet#2.outline",
        numbers,
    );
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.missing",
        "packet#2.crease-1",
        ["x 90.0000, y 40.0000 mm", "nothing"],
    );
}

#[test]
fn a_path_too_much_in_the_cut_file_is_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        text.replace(
            "<g id=\"cut\"",
            "<path id=\"stray\" d=\"M 5 6 L 9 6\"/><g id=\"cut\"",
        )
        .into_bytes()
    });
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.extra",
        "stray",
        ["nothing", "x 5.0000, y 6.0000 mm"],
    );
}

#[test]
fn two_pieces_swapped_in_the_cut_file_are_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::swap_ids(bytes, "packet_1.", "packet_2.")
    });
    let numbers = ["x 20.0000, y 20.0000 mm", "x 90.0000, y 20.0000 mm"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.swapped",
        "packet#1.outline",
        numbers,
    );
    let numbers = ["x 90.0000, y 20.0000 mm", "x 20.0000, y 20.0000 mm"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.swapped",
        "packet#2.outline",
        numbers,
    );
}

#[test]
fn a_piece_turned_or_mirrored_in_the_cut_file_is_found() {
    // A half turn about (45, 60), the middle of the packet: its crease at y = 40 comes to y = 80.
    let turned = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "packet_1.", |x, y| (90.0 - x, 120.0 - y))
    });
    assert_found(
        &turned,
        "cut-01.svg",
        "verify.turned",
        "packet#1.crease-1",
        ["0 deg", "180.0000 deg"],
    );
    // Mirrored about x = 152.5, on the left of its place.
    let mirrored = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "row.marker_1.", |x, y| (305.0 - x, y))
    });
    assert_found(
        &mirrored,
        "cut-01.svg",
        "verify.mirrored",
        "row/marker#1.hole-1",
        ["as seen", "mirrored"],
    );
}

#[test]
fn cutting_before_creasing_is_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::reorder_layers(bytes, "cut", "crease")
    });
    // Of eight steps the first crease now comes after the four cuts.
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.order",
        "packet#1.crease-1",
        ["1 of 8", "5 of 8"],
    );
}

#[test]
fn cut_and_crease_with_each_others_names_are_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::swap_layer_names(bytes, "cut", "crease")
    });
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.layer",
        "packet#1.crease-1",
        ["crease", "cut"],
    );
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.layer",
        "packet#1.outline",
        ["cut", "crease"],
    );
}

#[test]
fn a_cut_file_of_another_size_is_found() {
    // 210 / 215.9 of the size, as a program does that fits a letter drawing to A4's width.
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        let text = String::from_utf8(bytes.to_vec()).unwrap();
        text.replace(
            "width=\"215.9mm\" height=\"279.4mm\"",
            "width=\"210mm\" height=\"271.764706mm\"",
        )
        .into_bytes()
    });
    let verdict = verdict(&damaged);
    let size = verdict
        .findings()
        .find(|finding| finding.code == "verify.page-box")
        .unwrap();
    assert_eq!(size.planned.as_deref(), Some("215.9000 x 279.4000 mm"));
    assert_eq!(size.found.as_deref(), Some("210.0000 x 271.7647 mm"));
    assert!(
        verdict
            .findings()
            .any(|finding| finding.code == "verify.scaled" && finding.id.as_deref() == Some("m1"))
    );
}

#[test]
fn a_moved_reference_line_and_mark_in_the_cut_file_are_found() {
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "ref-top", |x, y| (x + 1.0, y))
    });
    let numbers = ["x 0.0000, y 0.0000 mm", "x 1.0000, y 0.0000 mm"];
    assert_found(
        &damaged,
        "cut-01.svg",
        "verify.moved",
        "ref-top-left",
        numbers,
    );
    let damaged = changed(&made_by_hand::folder(), "cut-01.svg", |bytes| {
        svg::map_paths(bytes, "m2", |x, y| (x, y - 0.02))
    });
    let numbers = ["x 140.0000, y 130.0000 mm", "x 140.0000, y 129.9800 mm"];
    assert_found(&damaged, "cut-01.svg", "verify.moved", "m2", numbers);
}

#[test]
fn artwork_moved_by_two_hundredths_in_print_is_found() {
    let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::map_tagged(
            bytes,
            1,
            "artwork",
            "packet#2",
            [1.0, 0.0, 0.0, 1.0, 0.02, 0.0],
        )
    });
    let numbers = ["x 87.0000, y 17.0000 mm", "x 87.0200, y 17.0000 mm"];
    assert_found(&damaged, "print.pdf", "verify.moved", "packet#2", numbers);
}

#[test]
fn artwork_turned_by_180_degrees_is_found_for_vector_and_raster_pictures() {
    for id in ["packet#1", "packet#2"] {
        let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
            pdf::turn_picture(bytes, 1, id)
        });
        assert_found(
            &damaged,
            "print.pdf",
            "verify.turned",
            id,
            ["0 deg", "180 deg"],
        );
    }
}

#[test]
fn swapped_pictures_are_found() {
    let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::swap_pictures(bytes, 1, ("packet#1", 0), ("packet#2", 0))
    });
    assert_found(
        &damaged,
        "print.pdf",
        "verify.artwork",
        "packet#1",
        [made_by_hand::BASIL, made_by_hand::DILL],
    );
    assert_found(
        &damaged,
        "print.pdf",
        "verify.artwork",
        "packet#2",
        [made_by_hand::DILL, made_by_hand::BASIL],
    );
}

#[test]
fn swapped_pieces_in_print_are_found() {
    let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::swap_ids(bytes, 1, "artwork", "packet#1", "packet#2")
    });
    let numbers = ["x 17.0000, y 17.0000 mm", "x 87.0000, y 17.0000 mm"];
    assert_found(&damaged, "print.pdf", "verify.swapped", "packet#1", numbers);
}

#[test]
fn dropped_and_doubled_artwork_is_found() {
    let dropped = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::drop_tagged(bytes, 2, "artwork", "packet#1")
    });
    // On the back, mirrored: 215.9 - (17 + 56) = 142.9.
    assert_found(
        &dropped,
        "print.pdf",
        "verify.missing",
        "packet#1",
        ["x 142.9000, y 17.0000 mm", "nothing"],
    );
    let doubled = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::double_tagged(bytes, 2, "artwork", "packet#1")
    });
    assert_found(
        &doubled,
        "print.pdf",
        "verify.extra",
        "packet#1",
        ["1 layers", "2 layers"],
    );
}

#[test]
fn another_flat_colour_is_found() {
    let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::edit(bytes, 2, |operations| {
            let colour = operations
                .iter_mut()
                .find(|operation| operation.operator == "rg")
                .unwrap();
            colour.operands = vec![0.5.into(), 0.5.into(), 0.5.into()];
        })
    });
    // 0.5 of 255 is 127.5; levels 127 and 128 are equally near.
    assert_found(
        &damaged,
        "print.pdf",
        "verify.artwork",
        "packet#1",
        ["#a3b18a", "#7f7f7f"],
    );
}

#[test]
fn a_moved_mark_tick_and_rule_in_print_are_found() {
    let moved = |kind: &'static str, id: &'static str| {
        changed(&made_by_hand::folder(), "print.pdf", |bytes| {
            pdf::map_tagged(bytes, 1, kind, id, [1.0, 0.0, 0.0, 1.0, 0.0, 0.02])
        })
    };
    let numbers = ["x 30.0000, y 130.0000 mm", "x 30.0000, y 130.0200 mm"];
    assert_found(
        &moved("mark", "m1"),
        "print.pdf",
        "verify.moved",
        "m1",
        numbers,
    );
    let numbers = ["x 12.0000, y 40.0000 mm", "x 12.0000, y 40.0200 mm"];
    assert_found(
        &moved("tick", "t1"),
        "print.pdf",
        "verify.moved",
        "t1",
        numbers,
    );
    // A rule of 101.6 mm at 97 % is 98.552 mm long.
    let short = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::map_tagged(bytes, 1, "rule", "rule", [0.97, 0.0, 0.0, 1.0, 0.6, 0.0])
    });
    assert_found(
        &short,
        "print.pdf",
        "verify.scaled",
        "rule",
        ["101.6000 mm", "98.5520 mm"],
    );
}

#[test]
fn marks_with_each_others_quadrants_are_found() {
    let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        // A half turn about the mark's centre leaves its place, but m1 turned stays "one": m1 and m3 exchange names and places.
        let swapped = pdf::swap_ids(bytes, 1, "mark", "m1", "m3");
        let down = pdf::map_tagged(&swapped, 1, "mark", "m3", [1.0, 0.0, 0.0, 1.0, 0.0, 90.0]);
        pdf::map_tagged(&down, 1, "mark", "m1", [1.0, 0.0, 0.0, 1.0, 0.0, -90.0])
    });
    assert_found(
        &damaged,
        "print.pdf",
        "verify.content",
        "m1",
        ["one", "three"],
    );
    assert_found(
        &damaged,
        "print.pdf",
        "verify.content",
        "m3",
        ["three", "one"],
    );
}

#[test]
fn operations_moved_scaled_dropped_or_swapped_in_the_proof_are_found() {
    let made = made_by_hand::folder();
    let moved = changed(&made, "proof.pdf", |bytes| {
        pdf::map_tagged(
            bytes,
            1,
            "crease",
            "packet#1.crease-1",
            [1.0, 0.0, 0.0, 1.0, 0.0, -0.02],
        )
    });
    let numbers = ["x 20.0000, y 40.0000 mm", "x 20.0000, y 39.9800 mm"];
    assert_found(
        &moved,
        "proof.pdf",
        "verify.moved",
        "packet#1.crease-1",
        numbers,
    );
    let scaled = changed(&made, "proof.pdf", |bytes| {
        pdf::map_tagged(
            bytes,
            1,
            "cut",
            "row/marker#1.outline",
            [1.0001, 0.0, 0.0, 1.0001, 0.0, 0.0],
        )
    });
    let numbers = ["20.0000 x 250.0000 mm", "20.0020 x 250.0250 mm"];
    assert_found(
        &scaled,
        "proof.pdf",
        "verify.scaled",
        "row/marker#1.outline",
        numbers,
    );
    let dropped = changed(&made, "proof.pdf", |bytes| {
        pdf::drop_tagged(bytes, 1, "hole", "row/marker#2.hole-1")
    });
    assert_found(
        &dropped,
        "proof.pdf",
        "verify.missing",
        "row/marker#2.hole-1",
        ["x 192.0000, y 19.0000 mm", "nothing"],
    );
    let swapped = changed(&made, "proof.pdf", |bytes| {
        pdf::swap_ids(bytes, 1, "cut", "packet#1.outline", "packet#2.outline")
    });
    let numbers = ["x 20.0000, y 20.0000 mm", "x 90.0000, y 20.0000 mm"];
    assert_found(
        &swapped,
        "proof.pdf",
        "verify.swapped",
        "packet#1.outline",
        numbers,
    );
}

#[test]
fn what_stands_for_nothing_is_found() {
    let damaged = changed(&made_by_hand::folder(), "print.pdf", |bytes| {
        pdf::append(bytes, 1, "0 0 100 100 re f")
    });
    for files in saved_again(&damaged) {
        assert!(
            verdict(&files)
                .findings()
                .any(|finding| finding.code == "verify.extra")
        );
    }
}

#[test]
fn a_hand_line_that_is_no_outline_is_found() {
    // The content ends in points, y up: 1 mm is 72 / 25.4 pt, and the page is 792 pt high.
    let with_line = |left_mm: f64| {
        changed(&made_by_hand::folder(), "print.pdf", |bytes| {
            let matrix = "q 2.834645669 0 0 -2.834645669 0 792 cm";
            let line = format!("{left_mm} 20 50 80 re S Q");
            pdf::append(
                bytes,
                1,
                &format!(" /OC /Handlines BDC {matrix} {line} EMC"),
            )
        })
    };
    assert!(verdict(&with_line(20.0)).is_proved());
    let numbers = ["x 20.0000, y 20.0000 mm", "x 20.0200, y 20.0000 mm"];
    assert_found(
        &with_line(20.02),
        "print.pdf",
        "verify.moved",
        "packet#1",
        numbers,
    );
}
