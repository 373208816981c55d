//! The diagnostic codes of this room, in one table.

/// Declares each code as a constant and lists all of them with their meaning.
macro_rules! codes {
    ($($name:ident = $code:literal, $meaning:literal;)*) => {
        $(pub(super) const $name: &str = $code;)*

        /// Every code that loading can give, with what it means. Each is shown by a file in `tests/projects/bad`.
        pub const CODES: &[(&str, &str)] = &[$(($code, $meaning)),*];
    };
}

codes! {
    TOML_SYNTAX = "toml.syntax", "the file is no TOML";
    FILE_VERSION = "file.version", "the file is of another version, or of another kind";
    KEY_UNKNOWN = "key.unknown", "a key has no meaning here";
    KEY_MISSING = "key.missing", "a key that is needed is not there";
    KEY_TYPE = "key.type", "a value is of the wrong kind";
    KEY_CONFLICT = "key.conflict", "two keys exclude each other";
    VALUE_CHOICE = "value.choice", "a word is none of those allowed here";
    TEXT_EMPTY = "text.empty", "a text is empty";
    TEXT_MISSING_GLYPH = "text.missing-glyph", "a character cannot be printed with its font";
    NUMBER_SPELLING = "number.spelling", "a text does not hold the number wanted here";
    NUMBER_RANGE = "number.range", "a number is out of its range";
    LENGTH_NO_UNIT = "length.no-unit", "a length has no unit";
    LENGTH_SPELLING = "length.spelling", "a text cannot be read as a length, size or point";
    LENGTH_NEGATIVE = "length.negative", "a length is negative where none can be";
    LENGTH_ZERO = "length.zero", "a length is zero where none can be";
    ID_SPELLING = "id.spelling", "an id has characters that ids do not have";
    ID_DUPLICATE = "id.duplicate", "two things of a kind have the same id";
    ID_UNKNOWN = "id.unknown", "an id names nothing that is declared";
    STOCK_FORMAT = "stock.format", "a sheet format is not known";
    STOCK_ORIENTATION = "stock.orientation", "an orientation is given for a size that is taken as typed";
    STOCK_GRAIN = "stock.grain", "a grain direction does not tell the sides of a square sheet apart";
    STOCK_GRADE = "stock.grade", "a weight in pounds has no grade";
    STOCK_OFFCUT = "stock.offcut", "an offcut cannot come from the stock it names";
    STOCK_OUTLINE = "stock.outline", "an outline is given where none can be: only offcuts have one, and they are not printed";
    LIST_SHEET = "list.sheet", "a stock is another sheet than that of its id in the list of paper on hand";
    LIST_UNUSED = "list.unused", "the list of paper on hand has none of the project's stocks";
    SHAPE_RADIUS = "shape.radius", "a corner radius is larger than half the short side";
    SHAPE_FLATS = "shape.flats", "a polygon with an odd number of sides has no size across flats";
    SHAPE_PATH = "shape.path", "path data cannot be read";
    SHAPE_OUTLINE = "shape.outline", "a path is no outline of a piece";
    SHAPE_SVG = "shape.svg", "an SVG file holds no outline that can be taken";
    SHAPE_SHEET = "shape.sheet", "nothing of a sheet can be printed all over";
    STRIP_SUM = "strip.sum", "the panels of a strip do not add up to its length";
    STRIP_CREASES = "strip.creases", "the creases of a strip do not rise, or do not lie on it";
    STRIP_FOLDS = "strip.folds", "a strip has not as many folds as creases";
    STRIP_SNIP = "strip.snip", "the snipped corners of a strip do not fit on its end";
    OPERATION_OUTSIDE = "operation.outside", "an operation leaves its piece";
    OPERATION_OPEN = "operation.open", "the path of a hole is not closed";
    OPERATION_TRIMMER = "operation.trimmer", "machine work in a job that is cut by trimmer";
    ARTWORK_COLOUR = "artwork.colour", "a text is no colour";
    ARTWORK_UNPRINTABLE = "artwork.unprintable", "artwork lies on a face that is not printable";
    ARTWORK_OUTSIDE = "artwork.outside", "a picture lies wholly off its piece";
    ARTWORK_PANEL = "artwork.panel", "artwork cannot lie on the panel it names";
    ARTWORK_PATTERN = "artwork.pattern", "a pattern cannot be drawn as it is asked for";
    ARTWORK_NUMBER = "artwork.number", "an edition names an artwork that its piece does not have";
    WORDS_TEXT = "words.text", "a text has too many lines or letters, or braces that hold no column";
    WORDS_FONT = "words.font", "a font is not carried along, or a file is none that words can be set in";
    WORDS_BOX = "words.box", "words do not fit their box, or the box or its letters reach beyond the piece";
    WORDS_SMALL = "words.small", "words come out too small to read";
    WORDS_LIST = "words.list", "a list of which every copy takes a row cannot be read";
    WORDS_COLUMN = "words.column", "a text and its list do not have the same columns";
    WORDS_EMPTY = "words.empty", "a list has empty cells in a column that is printed";
    WORDS_ROWS = "words.rows", "a list has fewer or more rows than there are copies";
    MOUNT_CYCLE = "mount.cycle", "pieces are mounted on each other in a ring";
    MOUNT_PANEL = "mount.panel", "a mount names a panel that cannot carry it";
    MOUNT_REVEAL = "mount.reveal", "a reveal leaves nothing of the layer, or needs a rectangle";
    MOUNT_OVERSIZE = "mount.oversize", "a layer cannot be glued oversize and trimmed flush";
    TOOL_KIND = "tool.kind", "a tool is named that cannot do this work";
    TOOL_BOARD = "tool.board", "a scoring board's first groove lies beyond its last";
    TREAT_PANEL = "treat.panel", "a treatment names no panel, or one that its piece does not have";
    TREAT_OUTSIDE = "treat.outside", "a treated area leaves its piece";
    TREAT_PASSES = "treat.passes", "an embossed area is not covered by its passes through the tool";
    TREAT_CALIPER = "treat.caliper", "embossed paper is said to be thinner than it is plain";
    TREAT_GLUE = "treat.glue", "glue lies on embossed paper";
    FINISH_OUTSIDE = "finish.outside", "a finished shape leaves the rough piece it is made from";
    FINISH_REACH = "finish.reach", "a punch does not reach a shape, or a press does not take a rough piece";
    FINISH_ALSO = "finish.also", "what is said to come out of a pass besides cannot";
    SUPPLY_KIND = "supply.kind", "a supply is bought or there by length and needed by count, or the other way round";
    SUPPLY_LENGTH = "supply.length", "a length is longer than the packs it is bought in";
    SUPPLY_ROUND = "supply.round", "how far it is round something is not known";
    LESSON_CURRENCY = "lesson.currency", "work and things are paid in different currencies";
    ASSET_OUTSIDE = "asset.outside", "a path leaves the project's folder";
    ASSET_MISSING = "asset.missing", "a file is not there";
    ASSET_UNREADABLE = "asset.unreadable", "a file is there and cannot be read";
    ASSET_TOO_LARGE = "asset.too-large", "a file or picture is larger than the limits";
    ASSET_KIND = "asset.kind", "a file is not the kind of picture that its name says";
    ASSET_DAMAGED = "asset.damaged", "a picture cannot be decoded";
    ASSET_CMYK = "asset.cmyk", "a picture has colours that home printers do not take";
    ASSET_FEATURE = "asset.feature", "an SVG picture uses something that cannot be kept as it is";
    CALIBRATION_DATE = "calibration.date", "the day of a measurement is none, or has not come yet";
    CALIBRATION_OLD = "calibration.old", "a measurement is old";
    CALIBRATION_SPREAD = "calibration.spread", "what is said of a measurement's uncertainty cannot be";
    DEVICE_LIMITS = "device.limits", "the limits of a printer contradict each other";
    DEVICE_UNUSED = "device.unused", "a cutter or trimmer is named that nothing is cut by";
    PANEL_POINT = "panel.point", "a point does not tell a panel: it lies beside the paper, or in a panel that has a name";
    ARTWORK_OVERHANG = "artwork.overhang", "a picture measured on a panel runs on over its edges";
    ARTWORK_EDGE = "artwork.edge", "what lies beyond a picture cannot be made as asked for";
    ARTWORK_COARSE = "artwork.coarse", "a picture has too few pixels for the size at which it is printed";
    ASSET_PROFILE = "asset.profile", "a picture has other colours than those of sRGB";
    ASSET_REDUCED = "asset.reduced", "a picture has more pixels than print needs, and is taken smaller";
    PART_SIZES = "part.sizes", "the sizes of a part are not those its construction is asked for by";
    PART_CALIPER = "part.caliper", "a part is made of paper whose thickness is not known";
    PART_REFUSED = "part.refused", "a construction cannot be built as it is asked for";
    PART_CLEARANCE = "part.clearance", "a clearance leaves what moves no room";
    PART_PIECE = "part.piece", "more is said of a piece of a part than there is, or twice";
    PART_CALIPER_SWAPPED = "part.caliper-swapped", "an edition makes a part of paper of another thickness";
    ASSEMBLY_PANELS = "assembly.panels", "a piece in an assembly has no panels to fold";
    MIRROR_FACES = "mirror.faces", "a piece may not lie front down, since its faces differ";
    NICKS_MAKER = "nicks.maker", "nicks are asked for where no machine cuts the outline";
    NICKS_ROOM = "nicks.room", "nicks do not fit on their outline";
    PIN_TRIMMER = "pin.trimmer", "a piece is pinned in a job that is cut by trimmer";
    PIN_STOCK = "pin.stock", "a pin names stock that its piece is not made of";
    PIN_SHEET = "pin.sheet", "a pin names a sheet that is not there";
    PIN_SPARE = "pin.spare", "a pin names a copy that is spare";
    PIN_TWICE = "pin.twice", "a piece is pinned in two places";
    EDITION_SUM = "edition.sum", "the copies of the editions do not add up to the job's";
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::CODES;

    #[test]
    fn codes_are_dotted_lower_case_and_unique() {
        let unique: BTreeSet<_> = CODES.iter().map(|(code, _)| code).collect();
        assert_eq!(unique.len(), CODES.len());
        for (code, _) in CODES {
            let is_plain = |c: char| c.is_ascii_lowercase() || c == '-';
            let parts: Vec<_> = code.split('.').collect();
            assert_eq!(parts.len(), 2, "{code}");
            assert!(
                parts
                    .iter()
                    .all(|p| !p.is_empty() && p.chars().all(is_plain)),
                "{code}"
            );
        }
    }
}
