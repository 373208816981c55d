//! Forms of what is printed on pieces: colours, pictures, patterns, words.

use super::{Field, Form, Takes, form, more, needed, usual};

/// The forms.
pub(super) const FORMS: &[Form] = &[
    form(
        "artwork:colour",
        ("Colour", "One colour over the whole face."),
        &[
            needed(
                ("colour", "Colour"),
                Takes::Colour,
                "#rrggbb, or a name",
                "#a3b18a",
            ),
            FACE,
            BLEED,
        ],
    ),
    form(
        "artwork:file",
        ("Picture", "A picture of yours at a true size."),
        PICTURE,
    ),
    form(
        "artwork:pattern",
        ("Pattern", "Drawn at true size over the whole face."),
        PATTERN,
    ),
    form(
        "artwork:text",
        ("Words", "The same on all, or a row of a list on each."),
        WORDS,
    ),
];

const FACE: Field = usual(
    ("face", "On"),
    Takes::Face,
    "the face that is printed",
    "front",
);
const PANEL: Field = more(
    ("panel", "On panel"),
    Takes::Text,
    "upright on that panel of the folded thing",
    "front",
);
const BLEED: Field = more(
    ("bleed", "Bleed"),
    Takes::Length,
    "how far it runs past the cut",
    "3 mm",
);
const READS: Field = more(
    ("reads", "Reads"),
    Takes::Choice(&[
        ("one-way", "one way up"),
        ("stripe", "both ways up"),
        ("free", "any way"),
    ]),
    "how it may be turned",
    "free",
);
const AT: Field = usual(
    ("at", "Top left corner"),
    Takes::Text,
    "from the left and from the top; in the middle without",
    "1 in, 1/2 in",
);
const TURN: Field = usual(("turn", "Turned"), Takes::Text, "clockwise", "90 deg");

const PICTURE: &[Field] = &[
    needed(
        ("file", "Picture"),
        Takes::Picture,
        "a file in the project's folder, or one you added",
        "art/leaf.png",
    ),
    usual(
        ("width", "Width on paper"),
        Takes::Length,
        "its true size",
        "2 in",
    ),
    usual(
        ("fit", "Fit"),
        Takes::Choice(&[("fill", "covers the face"), ("whole", "lies inside it")]),
        "instead of a width",
        "fill",
    ),
    AT,
    TURN,
    FACE,
    PANEL,
    more(
        ("repeat", "Repeated"),
        Takes::Flag,
        "edge to edge over the face",
        "yes",
    ),
    more(
        ("focus", "Stays in view"),
        Takes::Text,
        "the point that stays near the middle where some is cut off",
        "40 %, 30 %",
    ),
    more(
        ("crop.left", "Cut away at the left"),
        Takes::Text,
        "in percent of the picture",
        "10 %",
    ),
    more(
        ("crop.right", "Cut away at the right"),
        Takes::Text,
        "in percent of the picture",
        "10 %",
    ),
    more(
        ("crop.top", "Cut away at the top"),
        Takes::Text,
        "in percent of the picture",
        "10 %",
    ),
    more(
        ("crop.bottom", "Cut away at the bottom"),
        Takes::Text,
        "in percent of the picture",
        "10 %",
    ),
    more(
        ("mirror", "Mirrored"),
        Takes::Choice(&[
            ("left-right", "left to right"),
            ("top-bottom", "top to bottom"),
        ]),
        "as in a mirror",
        "left-right",
    ),
    more(
        ("edge", "Beyond its end"),
        Takes::Choice(&[
            ("mirror", "the picture in a mirror"),
            ("stretch", "its last pixels"),
            ("none", "nothing"),
        ]),
        "what the bleed shows",
        "mirror",
    ),
    BLEED,
    READS,
];

const PATTERN: &[Field] = &[
    needed(
        ("pattern", "Pattern"),
        Takes::Pattern,
        "its name",
        "gingham",
    ),
    needed(
        ("repeat", "Repeat"),
        Takes::Length,
        "after which length it comes again",
        "10 mm",
    ),
    usual(
        ("palette", "Palette"),
        Takes::Palette,
        "colours that go together",
        "potting-shed",
    ),
    usual(
        ("colours", "Colours"),
        Takes::Texts,
        "the ground first",
        "#f6f1e3, olive",
    ),
    FACE,
    PANEL,
    more(("weight", "Weight"), Takes::Text, "how heavy it is", "40 %"),
    more(
        ("angle", "Angle"),
        Takes::Text,
        "turned clockwise",
        "45 deg",
    ),
    more(
        ("offset", "Shifted by"),
        Takes::Text,
        "to the right and down",
        "3 mm, 0 mm",
    ),
    more(
        ("start", "Begins"),
        Takes::Choice(&[
            ("middle", "in the middle"),
            ("corner", "at the top left corner"),
        ]),
        "where a repeat begins",
        "middle",
    ),
    more(
        ("whole_within", "Whole repeats within"),
        Takes::Text,
        "how much it may be stretched so that a whole number fills the face",
        "4 %",
    ),
    more(
        ("seed", "Scattered as"),
        Takes::Number,
        "another number scatters it anew",
        "2",
    ),
    more(
        ("words", "Words"),
        Takes::Texts,
        "for the pattern of words",
        "beans",
    ),
    BLEED,
];

const WORDS: &[Field] = &[
    needed(
        ("text", "Words"),
        Takes::Text,
        "{Name} stands for the column of that name",
        "Beans",
    ),
    usual(("size", "Size"), Takes::Text, "of the letters", "12 pt"),
    usual(
        ("fit", "Set smaller if need be"),
        Takes::Flag,
        "no larger than fits",
        "yes",
    ),
    usual(
        ("colour", "Colour"),
        Takes::Colour,
        "black without",
        "#3a3a3a",
    ),
    FACE,
    PANEL,
    usual(
        ("align", "Aligned"),
        Takes::Choice(&[
            ("left", "left"),
            ("middle", "in the middle"),
            ("right", "right"),
        ]),
        "along the lines",
        "left",
    ),
    more(
        ("box", "Room"),
        Takes::Size,
        "along the lines and across them",
        "50 x 20 mm",
    ),
    more(
        ("at", "Top left corner"),
        Takes::Text,
        "of the room; in the middle without",
        "5 mm, 10 mm",
    ),
    more(("turn", "Turned"), Takes::Text, "clockwise", "90 deg"),
    more(
        ("font", "Font"),
        Takes::Text,
        "sans, sans bold, or a font file in the project's folder",
        "sans bold",
    ),
    more(
        ("from", "List"),
        Takes::Text,
        "a CSV file with headings: each copy takes a row",
        "guests.csv",
    ),
];
