//! Forms of the job, its paper and its machines.

use super::{Field, Form, Takes, form, more, needed, usual};

const FACES: Takes = Takes::Choice(&[
    ("plain", "plain, not for the printer"),
    ("printable", "for the printer"),
]);

/// The forms.
pub(super) const FORMS: &[Form] = &[
    form("job", ("The job", "What is made, how many, and how."), JOB),
    form("stock", ("Paper", "One kind of paper or card."), STOCK),
    form(
        "printer",
        ("My printer", "What the printer does, in a file of its own."),
        PRINTER,
    ),
    form(
        "cutter",
        (
            "My cutter",
            "What the cutting machine does, in a file of its own.",
        ),
        CUTTER,
    ),
];

const JOB: &[Field] = &[
    needed(
        ("name", "Name"),
        Takes::Text,
        "for captions and titles",
        "Seed box",
    ),
    usual(("copies", "How many"), Takes::Number, "copies to make", "6"),
    usual(
        ("cut_by", "Cut by"),
        Takes::Choice(&[
            ("machine", "a cutting machine"),
            ("trimmer", "a trimmer, edge to edge"),
        ]),
        "what cuts the outlines",
        "machine",
    ),
    usual(
        ("spares", "Spares"),
        Takes::Text,
        "a few more where there is room: 2, or a share, 10 %",
        "10 %",
    ),
    more(
        ("bleed", "Bleed"),
        Takes::Length,
        "how far print runs past the cut",
        "3 mm",
    ),
    more(
        ("gap", "Gap"),
        Takes::Length,
        "the least distance between pieces",
        "3 mm",
    ),
    more(
        ("best", "Best layout"),
        Takes::Choice(&[
            ("fewest sheets", "fewest sheets"),
            ("fewest layouts", "few different sheets"),
            ("one kit a sheet", "one kit on a sheet"),
        ]),
        "what to look for",
        "fewest sheets",
    ),
    more(
        ("show_lengths", "Lengths in"),
        Takes::Choice(&[
            ("inch fractions", "inches, as fractions"),
            ("inch decimals", "inches, as decimals"),
            ("mm", "millimetres"),
        ]),
        "how sizes are shown",
        "mm",
    ),
    more(
        ("marks", "Register marks"),
        Takes::Choice(&[
            ("auto", "where sheets are printed and cut"),
            ("always", "always"),
            ("never", "never"),
        ]),
        "marks by which a printed sheet is found on the cutter",
        "auto",
    ),
    more(
        ("turn_over", "Turned over"),
        Takes::Choice(&[
            ("left-right", "left to right"),
            ("top-bottom", "top to bottom"),
        ]),
        "how a sheet is turned for its back",
        "left-right",
    ),
    more(
        ("mark_scales", "Scales beside marks"),
        Takes::Flag,
        "fine scales for a prick test on a machine without a camera",
        "yes",
    ),
    more(
        ("hand_lines", "Lines for scissors"),
        Takes::Flag,
        "a hair line on the outlines",
        "yes",
    ),
    more(
        ("date", "Date"),
        Takes::Text,
        "printed as you write it",
        "2027-04-17",
    ),
    more(
        ("printer", "Printer profile"),
        Takes::Text,
        "a file in the project's folder",
        "printer.toml",
    ),
    more(
        ("cutter", "Cutter profile"),
        Takes::Text,
        "a file in the project's folder",
        "cutter.toml",
    ),
    more(
        ("trimmer", "Trimmer profile"),
        Takes::Text,
        "a file in the project's folder",
        "trimmer.toml",
    ),
    more(
        ("on_hand", "List of paper on hand"),
        Takes::Text,
        "a file in the project's folder that sheets and offcuts are drawn from",
        "paper-on-hand.toml",
    ),
    more(
        ("least_offcut", "Least offcut"),
        Takes::Size,
        "the smallest offcut worth keeping",
        "3 x 3 in",
    ),
];

const STOCK: &[Field] = &[
    usual(
        ("name", "Name"),
        Takes::Text,
        "what you call it",
        "Oat card",
    ),
    needed(
        ("format", "Size"),
        Takes::Text,
        "a format's name, or width x height",
        "letter",
    ),
    usual(
        ("caliper", "Thickness"),
        Takes::Length,
        "of one sheet: measure ten together and divide",
        "0.3 mm",
    ),
    usual(
        ("face_a", "Face A"),
        FACES,
        "the face that lies up",
        "printable",
    ),
    usual(
        ("on_hand", "Sheets on hand"),
        Takes::Number,
        "how many there are; empty is as many as needed",
        "10",
    ),
    usual(
        ("price", "Price of a sheet"),
        Takes::Money,
        "with its currency",
        "0.40 EUR",
    ),
    more(("face_b", "Face B"), FACES, "the face behind", "plain"),
    more(
        ("grain", "Grain"),
        Takes::Choice(&[
            ("long", "along the long side"),
            ("short", "along the short side"),
            ("x", "left to right"),
            ("y", "top to bottom"),
        ]),
        "which way the fibres run: paper folds and tears easily along them",
        "long",
    ),
    more(
        ("grammage", "Weight"),
        Takes::Text,
        "with its unit, pounds with their grade",
        "240 gsm",
    ),
    more(
        ("orientation", "Lies"),
        Takes::Choice(&[("portrait", "upright"), ("landscape", "on its side")]),
        "how the sheet lies",
        "portrait",
    ),
    more(
        ("clear", "Clear film"),
        Takes::Flag,
        "film that can be seen through",
        "yes",
    ),
    more(
        ("offcut_of", "Left over from"),
        Takes::Stock,
        "the paper that this is an offcut of; offcuts are used first",
        "oat",
    ),
    more(
        ("outline", "Corners"),
        Takes::Texts,
        "instead of a size, for an offcut that is no rectangle; parted by semicolons",
        "0 in, 0 in; 5 in, 0 in; 0 in, 4 in",
    ),
];

const PRINTER: &[Field] = &[
    needed(
        ("name", "Name"),
        Takes::Text,
        "what you call it",
        "Attic printer",
    ),
    needed(
        ("margins", "Margins"),
        Takes::Length,
        "the band round the page that it leaves white",
        "1/4 in",
    ),
    more(
        ("largest", "Largest sheet"),
        Takes::Size,
        "that it takes",
        "8 1/2 x 14 in",
    ),
    more(
        ("smallest", "Smallest sheet"),
        Takes::Size,
        "that it takes",
        "4 x 6 in",
    ),
    more(
        ("heaviest", "Heaviest paper"),
        Takes::Text,
        "that it takes",
        "250 gsm",
    ),
];

const CUTTER: &[Field] = &[
    needed(
        ("name", "Name"),
        Takes::Text,
        "what you call it",
        "Bench cutter",
    ),
    usual(
        ("unreachable", "Unreachable"),
        Takes::Length,
        "the band round the sheet that it cannot cut",
        "5 mm",
    ),
    more(
        ("largest", "Largest sheet"),
        Takes::Size,
        "that it takes",
        "12 x 12 in",
    ),
];
