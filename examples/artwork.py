"""Draws the pixel pictures of the examples. Run it from anywhere: python3 examples/artwork.py

Needs Python 3.11 and Pillow 13. The same Pillow writes the same bytes each time: the only chance in it is a seeded generator.
Everything is drawn at four times its final size and then made smaller, which gives soft edges.
"""

from pathlib import Path
from random import Random

from PIL import Image, ImageDraw

HERE = Path(__file__).parent
OVERSIZE = 4
DOTS_PER_INCH = 300

CREAM, SOIL, SOIL_LIGHT = "#fffdf4", "#6e4a35", "#8a6148"
LEAF, LEAF_LIGHT, CLAY, CLAY_LIGHT = "#4f7a45", "#6a9757", "#c46a45", "#d68560"


class Canvas:
    """A picture measured in its final pixels."""

    def __init__(self, width, height, background):
        self.size = (width, height)
        self.image = Image.new("RGB", (width * OVERSIZE, height * OVERSIZE), background)
        self.draw = ImageDraw.Draw(self.image)

    def shape(self, points, colour):
        self.draw.polygon([(x * OVERSIZE, y * OVERSIZE) for x, y in points], fill=colour)

    def ellipse(self, x, y, rx, ry, colour):
        self.draw.ellipse([v * OVERSIZE for v in (x - rx, y - ry, x + rx, y + ry)], fill=colour)

    def line(self, points, width, colour):
        self.draw.line([(x * OVERSIZE, y * OVERSIZE) for x, y in points], fill=colour, width=width * OVERSIZE, joint="curve")

    def finished(self):
        return self.image.resize(self.size, Image.Resampling.LANCZOS)


def curve(start, bend, end, steps=24):
    """Points of a quadratic curve."""
    ts = [i / steps for i in range(steps + 1)]
    return [
        tuple((1 - t) ** 2 * a + 2 * t * (1 - t) * b + t * t * c for a, b, c in zip(start, bend, end, strict=True))
        for t in ts
    ]


def leaf(canvas, base, tip, fullness, dark=LEAF, light=LEAF_LIGHT):
    """A pointed leaf with a dark and a light half."""
    (x0, y0), (x1, y1) = base, tip
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    across = (-(y1 - y0) * fullness, (x1 - x0) * fullness)
    for sign, colour in ((1, dark), (-1, light)):
        bend = (middle[0] + sign * across[0], middle[1] + sign * across[1])
        canvas.shape(curve(base, bend, tip), colour)


def mixed(one, other, share):
    """A colour between two."""
    rgb = [tuple(int(c[i : i + 2], 16) for i in (1, 3, 5)) for c in (one, other)]
    return tuple(round(a + (b - a) * share) for a, b in zip(*rgb, strict=True))


def seedling(canvas, x, y, size):
    """Two seed leaves on a stalk."""
    canvas.line([(x, y), (x, y - size)], max(1, round(size / 9)), LEAF)
    leaf(canvas, (x, y - 0.9 * size), (x - 0.8 * size, y - 1.5 * size), 0.45, LEAF, LEAF_LIGHT)
    leaf(canvas, (x, y - 0.9 * size), (x + 0.8 * size, y - 1.5 * size), 0.45, LEAF_LIGHT, LEAF)


def seedbed():
    """Rows of seedlings under an evening sky, 2 x 1 3/4 in."""
    width, height, horizon = 600, 525, 205
    canvas = Canvas(width, height, CREAM)
    for y in range(horizon):
        canvas.line([(0, y), (width, y)], 1, mixed("#bcd7dc", "#f7e6b5", y / horizon))
    canvas.ellipse(430, 128, 52, 52, "#f2c46d")
    canvas.ellipse(110, 250, 230, 92, "#a9c296")
    canvas.ellipse(420, 262, 300, 84, "#8fae7c")
    canvas.ellipse(620, 240, 160, 70, "#a9c296")
    canvas.shape([(0, horizon), (width, horizon), (width, height), (0, height)], SOIL)
    vanishing = (300, 120)
    for row in range(-6, 7):
        foot = 300 + row * 120
        far = (horizon - vanishing[1]) / (height - vanishing[1])
        edges = [(vanishing[0] + (x - vanishing[0]) * far, horizon) for x in (foot - 26, foot + 26)]
        canvas.shape([*edges, (foot + 26, height), (foot - 26, height)], SOIL_LIGHT)
    chance = Random(17)
    for y in (222, 246, 280, 328, 394, 486):
        near = (y - vanishing[1]) / (height - vanishing[1])
        for row in range(-6, 7):
            x = vanishing[0] + row * 120 * near
            seedling(canvas, x + chance.uniform(-4, 4) * near, y, (38 + chance.uniform(-5, 5)) * near)
    return canvas.finished()


def potted_seedling():
    """A bean seedling in a clay pot on cream, 1 x 1 1/2 in."""
    canvas = Canvas(300, 450, CREAM)
    canvas.ellipse(150, 190, 128, 128, "#e9efdc")
    canvas.line(curve((150, 320), (128, 210), (152, 120)), 9, LEAF)
    leaf(canvas, (146, 220), (36, 150), 0.42)
    leaf(canvas, (146, 232), (262, 178), 0.42)
    leaf(canvas, (151, 136), (92, 40), 0.42)
    leaf(canvas, (151, 136), (226, 60), 0.42)
    canvas.shape([(78, 330), (222, 330), (202, 424), (98, 424)], CLAY)
    canvas.shape([(150, 330), (222, 330), (202, 424), (150, 424)], "#b35a37")
    canvas.shape([(68, 304), (232, 304), (232, 338), (68, 338)], CLAY_LIGHT)
    return canvas.finished()


def radish():
    """A radish with its leaves on cream, 1 x 1 1/2 in."""
    canvas = Canvas(300, 450, CREAM)
    canvas.ellipse(150, 236, 132, 132, "#f3e7ee")
    for tip, fullness in (((54, 60), 0.34), ((246, 66), 0.34), ((150, 18), 0.3)):
        leaf(canvas, (150, 222), tip, fullness)
    canvas.ellipse(150, 284, 78, 76, "#a8476b")
    canvas.shape([*curve((92, 328), (140, 360), (150, 436)), *curve((150, 436), (162, 360), (208, 328))], "#a8476b")
    canvas.ellipse(122, 258, 17, 24, "#c9799a")
    return canvas.finished()


def main():
    dpi = (DOTS_PER_INCH, DOTS_PER_INCH)
    seedbed().save(HERE / "herb-packet/art/seedbed.jpg", quality=82, subsampling=0, dpi=dpi)
    for name, picture in (("seedling", potted_seedling()), ("radish", radish())):
        few_colours = picture.quantize(64, dither=Image.Dither.NONE)
        few_colours.save(HERE / f"class-kit/art/{name}.png", optimize=True, dpi=dpi)


if __name__ == "__main__":
    main()
