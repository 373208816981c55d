//! Forms of pieces: their shapes, layers, operations and artwork, and of things that are worked out from a few sizes.

use super::{Field, Form, Takes, form, more, needed, usual};

const AXIS: Takes = Takes::Choice(&[
    ("x", "left to right"),
    ("y", "top to bottom"),
    ("any", "does not matter"),
]);
const MAKERS: Takes = Takes::Choice(&[
    ("machine", "the machine"),
    ("hand", "by hand"),
    ("die", "a die"),
]);
const FOLDS: Takes = Takes::Choice(&[
    ("mountain", "mountain: away from you"),
    ("valley", "valley: towards you"),
]);
const UNITS: Takes = Takes::Choice(&[("mm", "millimetres"), ("in", "inches")]);

/// The forms.
pub(super) const FORMS: &[Form] = &[
    form("piece", ("Piece", "A piece of paper, cut out."), PIECE),
    form(
        "part",
        (
            "Thing",
            "Worked out from a few sizes and the thickness of its paper.",
        ),
        PART,
    ),
    form(
        "mount",
        ("Layer", "A piece that lies on another one."),
        MOUNT,
    ),
    form(
        "shape:rectangle",
        ("Rectangle", "Four straight edges."),
        &[WIDTH, HEIGHT],
    ),
    form(
        "shape:rounded-rectangle",
        ("Rounded rectangle", "A rectangle with round corners."),
        &[
            WIDTH,
            HEIGHT,
            needed(
                ("radius", "Radius"),
                Takes::Length,
                "of its corners",
                "1/4 in",
            ),
        ],
    ),
    form(
        "shape:circle",
        ("Circle", "Round."),
        &[needed(
            ("diameter", "Diameter"),
            Takes::Length,
            "across",
            "2 in",
        )],
    ),
    form(
        "shape:ellipse",
        ("Ellipse", "Longer than it is wide."),
        &[WIDTH, HEIGHT],
    ),
    form(
        "shape:polygon",
        ("Polygon", "With sides of one length."),
        POLYGON,
    ),
    form(
        "shape:strip",
        ("Strip", "Panels in a row, with creases between."),
        STRIP,
    ),
    form(
        "shape:path",
        ("Path", "Any outline, as SVG path data."),
        &[
            needed(
                ("data", "Path data"),
                Takes::Text,
                "absolute or relative, closed",
                "M 0 0 H 60 V 40 H 0 Z",
            ),
            needed(("unit", "Unit"), UNITS, "of its numbers", "mm"),
        ],
    ),
    form(
        "shape:svg",
        ("Outline from an SVG file", "A closed path of a drawing."),
        &[
            needed(
                ("file", "File"),
                Takes::Picture,
                "an SVG file",
                "art/leaf.svg",
            ),
            more(
                ("element", "Element"),
                Takes::Text,
                "its id, if there are several",
                "leaf",
            ),
            more(
                ("width", "Width"),
                Takes::Length,
                "if the file has no true size",
                "3 in",
            ),
        ],
    ),
    form(
        "operation:crease",
        ("Crease", "Pressed in, to fold along."),
        &[
            AT_X,
            AT_Y,
            needed(("fold", "Fold"), FOLDS, "as seen from the front", "valley"),
            FROM,
            TO,
            more(
                ("folds_to", "Folds to"),
                Takes::Text,
                "how far it is folded in the end",
                "90 deg",
            ),
            PATH,
            UNIT,
            BY,
        ],
    ),
    form(
        "operation:perforation",
        ("Perforation", "Short cuts, to tear along."),
        &[
            AT_X,
            AT_Y,
            needed(
                ("cut_length", "Cut"),
                Takes::Length,
                "length of one cut",
                "3 mm",
            ),
            needed(("gap", "Gap"), Takes::Length, "from cut to cut", "1 mm"),
            FROM,
            TO,
            PATH,
            UNIT,
            BY,
        ],
    ),
    form(
        "operation:cut",
        ("Cut", "Through the paper, inside the piece."),
        LINE,
    ),
    form(
        "operation:partial-cut",
        ("Partial cut", "Into the paper, not through it."),
        LINE,
    ),
    form("operation:line", ("Drawn line", "With a pen."), LINE),
    form(
        "operation:hole",
        ("Hole", "Cut out."),
        &[
            usual(
                ("at", "Middle"),
                Takes::Text,
                "from the left and from the top",
                "1 in, 1 in",
            ),
            usual(
                ("diameter", "Diameter"),
                Takes::Length,
                "of a round hole",
                "5 mm",
            ),
            PATH,
            UNIT,
            BY,
        ],
    ),
];

const WIDTH: Field = needed(
    ("width", "Width"),
    Takes::Length,
    "from left to right",
    "3 in",
);
const HEIGHT: Field = needed(
    ("height", "Height"),
    Takes::Length,
    "from top to bottom",
    "2 1/8 in",
);
const AT_X: Field = usual(
    ("at_x", "Upright, at"),
    Takes::Length,
    "from the left edge; runs from edge to edge",
    "1 in",
);
const AT_Y: Field = usual(
    ("at_y", "Level, at"),
    Takes::Length,
    "from the top edge; runs from edge to edge",
    "1 in",
);
const FROM: Field = more(
    ("from", "From"),
    Takes::Text,
    "a point, from the left and from the top",
    "0 in, 1 in",
);
const TO: Field = more(
    ("to", "To"),
    Takes::Text,
    "a point, from the left and from the top",
    "2 in, 1 in",
);
const PATH: Field = more(
    ("path", "Path data"),
    Takes::Text,
    "instead, as SVG path data",
    "M 5 5 H 20",
);
const UNIT: Field = more(("unit", "Unit of the path"), UNITS, "of its numbers", "mm");
const BY: Field = more(
    ("by", "Done by"),
    MAKERS,
    "what a hand or a die does is never in a cut file",
    "hand",
);
const LINE: &[Field] = &[AT_X, AT_Y, FROM, TO, PATH, UNIT, BY];

const PIECE: &[Field] = &[
    usual(("name", "Name"), Takes::Text, "what you call it", "Lid"),
    usual(
        ("stock", "Paper"),
        Takes::Stock,
        "what it is made of",
        "oat",
    ),
    usual(
        ("per_copy", "How many in one copy"),
        Takes::Number,
        "of this piece",
        "1",
    ),
    more(
        ("grain", "Grain"),
        AXIS,
        "how the fibres should run; never laid across",
        "y",
    ),
    more(
        ("turns", "May be turned"),
        Takes::Choice(&[
            ("none", "not at all"),
            ("half", "upside down"),
            ("quarters", "by quarters"),
            ("any", "by any angle"),
        ]),
        "what the layout may do",
        "quarters",
    ),
    more(
        ("shows", "Shows face"),
        Takes::Choice(&[("a", "A"), ("b", "B")]),
        "the face of the paper that is its front",
        "a",
    ),
    more(
        ("pattern_up", "Top of the paper's pattern"),
        Takes::Direction,
        "the edge that the top of a bought pattern points to",
        "top",
    ),
    more(
        ("mirror", "May lie front down"),
        Takes::Flag,
        "where both faces are alike and nothing is printed",
        "yes",
    ),
    more(
        ("cut_by", "Outline cut by"),
        MAKERS,
        "who cuts it out",
        "hand",
    ),
    more(
        ("have", "There already"),
        Takes::Number,
        "made before; only the rest is laid out",
        "2",
    ),
];

const PART: &[Field] = &[
    usual(
        ("name", "Name"),
        Takes::Text,
        "what you call it",
        "Seed box",
    ),
    usual(
        ("stock", "Paper"),
        Takes::Stock,
        "what all its pieces are made of",
        "oat",
    ),
    usual(
        ("contents", "What goes in"),
        Takes::Size,
        "length x width x depth of the thing; one of the three sizes is asked",
        "3 x 2 x 1 in",
    ),
    usual(
        ("inside", "Inside"),
        Takes::Size,
        "free room within",
        "3 x 2 x 1 in",
    ),
    usual(
        ("outside", "Outside"),
        Takes::Size,
        "over all",
        "3 x 2 x 1 in",
    ),
    usual(
        ("per_copy", "How many in one copy"),
        Takes::Number,
        "of the whole thing",
        "1",
    ),
    more(
        ("ease", "Room round it"),
        Takes::Length,
        "round what goes in, both sides together",
        "1 mm",
    ),
    more(
        ("grid", "Step of your ruler"),
        Takes::Text,
        "every crease and cut lies on it",
        "1/16 in",
    ),
    more(
        ("with_grain", "Fold along the grain"),
        Takes::Flag,
        "every piece with the grain along its main folds",
        "yes",
    ),
];

const MOUNT: &[Field] = &[
    needed(
        ("on", "Lies on"),
        Takes::Text,
        "a piece, or one of its panels after a colon",
        "label",
    ),
    usual(
        ("reveal", "Shows of the one below"),
        Takes::Length,
        "on each side; its size follows from it",
        "1/8 in",
    ),
    more(
        ("anchor", "Anchor"),
        Takes::Choice(&[
            ("centre", "middle"),
            ("top", "top"),
            ("right", "right"),
            ("bottom", "bottom"),
            ("left", "left"),
            ("top-left", "top left"),
            ("top-right", "top right"),
            ("bottom-left", "bottom left"),
            ("bottom-right", "bottom right"),
        ]),
        "instead of a reveal, for a layer with a shape of its own",
        "centre",
    ),
    more(
        ("offset", "Shifted by"),
        Takes::Text,
        "to the right and down",
        "1/8 in, 0 in",
    ),
    more(("turn", "Turned"), Takes::Text, "clockwise", "90 deg"),
    more(
        ("plies", "Plies"),
        Takes::Number,
        "layers of it on one another",
        "2",
    ),
    more(
        ("standoff", "Foam pads"),
        Takes::Length,
        "how high they are",
        "1 mm",
    ),
    more(
        ("oversize", "Cut larger"),
        Takes::Length,
        "on each side, and trimmed flush once it is glued",
        "2 mm",
    ),
];

const POLYGON: &[Field] = &[
    needed(("sides", "Sides"), Takes::Number, "how many", "6"),
    usual(
        ("side", "Length of a side"),
        Takes::Length,
        "one of the three sizes is asked",
        "1 in",
    ),
    usual(
        ("across_corners", "Across corners"),
        Takes::Length,
        "from a corner to the farthest",
        "2 in",
    ),
    usual(
        ("across_flats", "Across flats"),
        Takes::Length,
        "from a side to the one opposite",
        "2 in",
    ),
];

const STRIP: &[Field] = &[
    needed(
        ("across", "Across"),
        Takes::Length,
        "from one long edge to the other",
        "2 in",
    ),
    needed(
        ("panels", "Panels"),
        Takes::Lengths,
        "their lengths from the start",
        "3/8 in, 2 in, 2 in",
    ),
    usual(
        ("fold", "Folds"),
        FOLDS,
        "all creases, as seen from the front",
        "mountain",
    ),
    usual(
        ("along", "Runs"),
        Takes::Choice(&[("x", "left to right"), ("y", "top to bottom")]),
        "which way it is drawn",
        "x",
    ),
    more(
        ("folds_to", "Folds to"),
        Takes::Text,
        "how far all creases are folded in the end",
        "90 deg",
    ),
    more(("crease_by", "Creased by"), MAKERS, "who does it", "hand"),
    more(
        ("snipped", "Snipped"),
        Takes::Choice(&[
            ("start", "at its start"),
            ("end", "at its end"),
            ("both", "at both ends"),
        ]),
        "corners taken off, so that a tab slides in",
        "start",
    ),
];
