"""Writes joined-letters.ttf, a font of boxes that joins letters: run it with fontTools, in this folder.

An em is 1000 units. Letters that stand alone are boxes 1000 wide, those joined to a neighbour 500, so that the width of a word tells what was
joined. Features as OpenType registers them for Arabic: init, medi, fina.
"""
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

LETTERS = {"alef": 0x627, "seen": 0x633, "lam": 0x644, "meem": 0x645}
FORMS = {"seen": ["init", "medi", "fina"], "lam": ["init", "medi", "fina"], "meem": ["init", "medi", "fina"], "alef": ["fina"]}


def box(width):
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for corner in ((0, 500), (width, 500), (width, 0)):
        pen.lineTo(corner)
    pen.closePath()
    return pen.glyph()


widths = {".notdef": 1000, **dict.fromkeys(LETTERS, 1000)}
widths |= {f"{letter}.{form}": 500 for letter, forms in FORMS.items() for form in forms}
features = "languagesystem DFLT dflt;\nlanguagesystem arab dflt;\n"
for form in ("init", "medi", "fina"):
    rules = "".join(f"  sub {letter} by {letter}.{form};\n" for letter, forms in FORMS.items() if form in forms)
    features += f"feature {form} {{\n{rules}}} {form};\n"

font = FontBuilder(1000, isTTF=True)
font.setupGlyphOrder(list(widths))
font.setupCharacterMap({code: letter for letter, code in LETTERS.items()})
font.setupGlyf({name: box(width) for name, width in widths.items()})
font.setupHorizontalMetrics({name: (width, 0) for name, width in widths.items()})
font.setupHorizontalHeader(ascent=800, descent=-200)
font.setupNameTable({"familyName": "Joined Boxes", "styleName": "Regular"})
font.setupOS2(sTypoAscender=800, sTypoDescender=-200)
font.setupPost()
addOpenTypeFeaturesFromString(font.font, features)
font.font["head"].created = font.font["head"].modified = 0
font.font.recalcTimestamp = False
font.save("joined-letters.ttf")
