"""Writes joined-letters.ttf, a font of boxes that joins letters: run it with fontTools, in this folder.

An em is 1000 units. Arabic letters that stand alone are boxes 1000 wide, those joined to a neighbour 500, and lam with alef one of 500, so that the
width of a word tells what was joined. Features as OpenType registers them for Arabic: init, medi, fina, rlig.
"""
from fontTools.feaLib.builder import addOpenTypeFeaturesFromString
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

PLAIN = {"space": (0x20, 300), "A": (0x41, 600), "V": (0x56, 550), "one": (0x31, 500), "hebrew_alef": (0x5D0, 700), "hebrew_bet": (0x5D1, 800)}
LETTERS = {"alef": 0x627, "seen": 0x633, "lam": 0x644, "meem": 0x645}
FORMS = {"seen": ["init", "medi", "fina"], "lam": ["init", "medi", "fina"], "meem": ["init", "medi", "fina"], "alef": ["fina"]}


def box(width):
    pen = TTGlyphPen(None)
    pen.moveTo((0, 0))
    for corner in ((0, 500), (width, 500), (width, 0)):
        pen.lineTo(corner)
    pen.closePath()
    return pen.glyph()


widths = {".notdef": 1000, **{name: width for name, (_, width) in PLAIN.items()}, **dict.fromkeys(LETTERS, 1000)}
widths |= {f"{letter}.{form}": 500 for letter, forms in FORMS.items() for form in forms} | {"lam_alef.fina": 500}
features = "languagesystem DFLT dflt;\nlanguagesystem arab dflt;\n"
for form in ("init", "medi", "fina"):
    rules = "".join(f"  sub {letter} by {letter}.{form};\n" for letter, forms in FORMS.items() if form in forms)
    features += f"feature {form} {{\n{rules}}} {form};\n"
features += "feature rlig {\n  sub lam.medi alef.fina by lam_alef.fina;\n} rlig;\n"

font = FontBuilder(1000, isTTF=True)
font.setupGlyphOrder(list(widths))
font.setupCharacterMap({code: name for name, (code, _) in PLAIN.items()} | {code: letter for letter, code in LETTERS.items()})
font.setupGlyf({name: TTGlyphPen(None).glyph() if name == "space" else box(width) for name, width in widths.items()})
font.setupHorizontalMetrics({name: (width, 0) for name, width in widths.items()})
font.setupHorizontalHeader(ascent=800, descent=-200)
font.setupNameTable({"familyName": "Joined Boxes", "styleName": "Regular"})
font.setupOS2(sTypoAscender=800, sTypoDescender=-200)
font.setupPost()
addOpenTypeFeaturesFromString(font.font, features)
font.font["head"].created = font.font["head"].modified = 0
font.font.recalcTimestamp = False
font.save("joined-letters.ttf")
for number, name in enumerate(font.font.getGlyphOrder()):
    print(number, name)
