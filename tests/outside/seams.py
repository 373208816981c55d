#!/usr/bin/env python3
"""Looks for seams in patterns and tiled pictures: at repeats, at creases and along cuts.

    seams.py PROGRAM FOLDER              one line a trial and renderer; exit code 1 if a level is off by more than 8 of 255
    seams.py --self-test PROGRAM FOLDER  besides, the same with seams put in, each of which has to be seen
    seams.py --mirrors PROGRAM FOLDER    patterns beyond mirrors as well, where the ground still shows in a line

Every pattern lies on a folded piece, and again on a larger one without a crease that reaches beyond its cuts: at 600 dots an inch both
look the same around crease and cuts. The folded one is drawn again with all that has one colour as one path (`uncut.py`), four times as
large and without softened edges. On the page, no pixel may show a level that does not lie between those of its neighbourhood there: at
repeats, and where two areas meet, nothing shines through. Points of areas that are finer than that picture are told from seams
by their length. A tiled picture is compared with one picture of all its tiles, laid in the same place.
"""

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
from PIL import Image
from pixels import PAGE_DPI, Raster, mupdf, pdfium, poppler
from scipy import ndimage
from trials import PX, Trial, made
from uncut import redraw

LIMIT = 8  # levels of 255
NEAR_PX = 3
FINE = 4
SEAM_PX = 6  # a quarter of a millimetre: what is longer is no point of a leaf or scale

SHEET = (72, 60)
# Off the grid of pixels both ways, so that no edge is right by luck.
AT, SIZE = (19.31, 18.73), (32, 22)
LARGER = 8  # the piece without seams reaches this far beyond the other on every side
CREASE_X = AT[0] + SIZE[0] / 2
BLEED = 3

# As many colours as a pattern takes, far apart from one another.
COLOURS = ["#fdf6e3", "#203a5c", "#b0432f", "#d9a21b", "#4d7a4a"]
KINDS = {
    "stripe": 5,
    "pinstripe": 4,
    "check": 4,
    "checkerboard": 3,
    "gingham": 3,
    "plaid": 4,
    "dots": 3,
    "scattered-dots": 4,
    "chevron": 5,
    "basket-weave": 3,
    "scallop": 4,
    "leaf-scatter": 4,
    "words": 3,
}
# Where the usual repeat is longer than the pieces; so that some repeats meet on them.
REPEATS = {"plaid": 24, "scattered-dots": 20, "leaf-scatter": 30}
# Motifs that lie over their neighbours keep their order; what of them is one colour is not gathered.
OVERLAPPING = {"scallop", "basket-weave"}
MIRRORED = 'panel = "1"\nmirror_at = ["left", "right", "top", "bottom"]\n'
# (name, pattern, further keys, whether the larger piece has the same pattern in the same place)
TRIALS = [(kind, kind, "", True) for kind in KINDS]
TRIALS += [
    ("broad-check", "check", 'weight = "45 %"\nrepeat = "9 mm"\n', True),
    ("turned-check", "check", 'angle = "33 deg"\n', True),
    ("turned-gingham", "gingham", 'angle = "17 deg"\n', True),
    ("turned-plaid", "plaid", 'angle = "45 deg"\n', True),
    ("whole-checkerboard", "checkerboard", 'whole_within = "30 %"\nrepeat = "7 mm"\n', False),
]
MIRRORS = [
    ("mirrored-stripe", "stripe", f'angle = "30 deg"\n{MIRRORED}', False),
    ("mirrored-chevron", "chevron", MIRRORED, False),
    ("mirrored-leaves", "leaf-scatter", MIRRORED, False),
]


def mupdf_twice(pdf, page):
    """mupdf knows 17 levels of an edge in a pixel, which are 15 of 255 apart: a page of it is drawn twice as large, and four pixels are one."""
    command = ["mutool", "draw", "-q", "-F", "ppm", "-r", str(2 * PAGE_DPI), "-o", "-", str(pdf), str(page)]
    raster = Raster(subprocess.run(command, check=True, capture_output=True).stdout, PAGE_DPI)
    high, wide = (side // 2 * 2 for side in raster.levels.shape[:2])
    four = raster.levels[:high, :wide].reshape(high // 2, 2, wide // 2, 2, 3)
    raster.levels = np.rint(four.mean(axis=(1, 3))).astype(np.uint8)
    return raster


PATTERN_RENDERERS = (poppler, mupdf_twice, pdfium)
PICTURE_RENDERERS = (poppler, mupdf, pdfium)


def artwork(kind, more=""):
    colours = ", ".join(f'"{colour}"' for colour in COLOURS[: KINDS[kind]])
    repeat = f'repeat = "{REPEATS[kind]} mm"\n' if kind in REPEATS else ""
    return f'[[piece.artwork]]\npattern = "{kind}"\ncolours = [{colours}]\n{repeat}{more}'


def folded(name, art):
    wide, high = SIZE
    panels = f'["{wide / 2} mm", "{wide / 2} mm"]'
    shape = f'{{ kind = "strip", across = "{high} mm", panels = {panels}, along = "x", fold = "mountain" }}'
    return Trial(name, SIZE, AT, SHEET, art, shape=shape)


def plain(name, art):
    size = tuple(side + 2 * LARGER for side in SIZE)
    return Trial(name, size, tuple(at - LARGER for at in AT), SHEET, art)


def inside(levels, left, top, right, bottom):
    """The pixels that lie wholly in a box in millimetres."""
    return levels[int(np.ceil(top / PX)) : int(bottom / PX), int(np.ceil(left / PX)) : int(right / PX)]


def around():
    """The piece with its bleed, but for the outermost pixels."""
    (x, y), (wide, high) = AT, SIZE
    out = BLEED - 4 * PX
    return x - out, y - out, x + wide + out, y + high + out


def near(left, top, right, bottom):
    """A box and three pixels around it."""
    return left - NEAR_PX * PX, top - NEAR_PX * PX, right + NEAR_PX * PX, bottom + NEAR_PX * PX


def off(one, other):
    return int(abs(one.astype(int) - other.astype(int)).max(initial=0))


def along_seams(cut, whole):
    """The largest difference near the crease and near the four cuts."""
    (x, y), (wide, high) = AT, SIZE
    crease = near(CREASE_X, y, CREASE_X, y + high)
    cuts = [near(x, y, x, y + high), near(x + wide, y, x + wide, y + high), near(x, y, x + wide, y), near(x, y + high, x + wide, y + high)]
    differences = [off(inside(cut.levels, *box), inside(whole.levels, *box)) for box in (crease, *cuts)]
    return differences[0], max(differences[1:])


def sharp(pdf, page):
    """A page four times as large, without softened edges: a pixel has the colour of its middle."""
    command = ["mutool", "draw", "-q", "-A", "9", "-F", "ppm", "-r", str(PAGE_DPI * FINE), "-o", "-", str(pdf), str(page)]
    return Raster(subprocess.run(command, check=True, capture_output=True).stdout, PAGE_DPI * FINE).levels


def colours_near(fine, size):
    """Least and greatest level of each channel within a pixel and its neighbours, of the piece and its bleed."""
    high, wide = size
    missing = [(0, max(side * FINE - have, 0)) for side, have in zip(size, fine.shape, strict=False)]
    fine = np.pad(fine, [*missing, (0, 0)], "edge")[: high * FINE, : wide * FINE].reshape(high, FINE, wide, FINE, 3)
    return bounds(fine.min(axis=(1, 3)), fine.max(axis=(1, 3)))


def bounds(low, top):
    size = (3, 3, 1)
    return [inside(f, *around()).astype(int) for f in (ndimage.minimum_filter(low, size), ndimage.maximum_filter(top, size))]


def shining(levels, low, top):
    """(length in pixels of the longest run of pixels that show what is not near them, the largest level in runs that are long)."""
    levels = levels.astype(int)
    beyond = np.maximum(low - levels, levels - top).max(axis=2)
    runs, _ = ndimage.label(beyond > LIMIT, np.ones((3, 3)))
    longest, worst = 0, 0
    for number, (down, across) in enumerate(ndimage.find_objects(runs), 1):
        length = max(down.stop - down.start, across.stop - across.start)
        longest = max(longest, length)
        if length >= SEAM_PX:
            worst = max(worst, int(beyond[down, across][runs[down, across] == number].max()))
    return longest, worst


def with_hairline(levels):
    """The same with a line of a pixel, half a millimetre long and 64 levels off, where a seam would be: what has to be seen."""
    seamed = levels.astype(int)
    row, column = seamed.shape[0] // 2, seamed.shape[1] // 2
    line = seamed[row, column : column + 2 * SEAM_PX]
    line += np.where(line > 127, -64, 64)
    return seamed


class Tally:
    def __init__(self, testing):
        self.testing, self.worst, self.least = testing, 0, 255

    def add(self, *differences):
        self.worst = max(self.worst, *differences)

    def caught(self, *differences):
        self.least = min(self.least, *differences)


def patterns(program, folder, tally):
    trials = TRIALS + (MIRRORS if "--mirrors" in sys.argv else [])
    cut = made(program, folder / "folded", [folded(name, artwork(kind, more)) for name, kind, more, _ in trials])
    whole = made(program, folder / "plain", [plain(name, artwork(kind, more)) for name, kind, more, same in trials if same])
    for page, (name, kind, _, same) in enumerate(trials, 1):
        flat, fine = folder / f"{name}.pdf", None
        redraw(cut, page, flat, kind not in OVERLAPPING)
        for renderer in PATTERN_RENDERERS:
            one = renderer(cut, page)
            fine = fine or colours_near(sharp(flat, 1), one.levels.shape[:2])
            # Those with the same pattern on the larger piece come first.
            crease, cuts = along_seams(one, renderer(whole, page)) if same else (0, 0)
            longest, shines = shining(inside(one.levels, *around()), *fine)
            tally.add(crease, cuts, shines)
            told = f"crease {crease}, cuts {cuts}, " if same else ""
            print(f"{name}, {renderer.__name__}: {told}shining through {shines} (longest run {longest} px)", flush=True)
            if tally.testing:
                tally.caught(shining(with_hairline(inside(one.levels, *around())), *fine)[1])
                moved = Raster.__new__(Raster)
                moved.levels = np.roll(one.levels, (1, 1), (0, 1))
                if same:
                    tally.caught(max(along_seams(moved, one)))


TILE_MM = 7.3
TILE_PX = 96


def texture():
    """A tile in soft colours that goes over into itself at its edges, from a few waves."""
    chance = np.random.default_rng(3)
    y, x = np.mgrid[:TILE_PX, :TILE_PX] * 2 * np.pi / TILE_PX
    waves = [[chance.integers(-2, 3, 2), chance.uniform(0, 2 * np.pi)] for _ in range(18)]
    channels = [sum(np.cos(a * x + b * y + at) for (a, b), at in waves[n::3]) for n in range(3)]
    levels = np.stack(channels, axis=2)
    return (30 + 170 * (levels - levels.min()) / np.ptp(levels)).astype(np.uint8)


def file_of(levels, kind, **how):
    with io.BytesIO() as file:
        Image.fromarray(levels).save(file, kind, **how)
        return file.getvalue()


def pictures(program, folder, tally):
    """Tiles as PNG, with an opaque alpha and as JPEG, and as SVG in one colour; each beside one picture of all its tiles."""
    soft, jpeg = texture(), file_of(texture(), "jpeg", quality=92)
    alpha = np.dstack([soft, np.full(soft.shape[:2], 255, np.uint8)])
    even = np.full_like(soft, (32, 58, 92))
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 4"><path d="M0 0H4V4H0Z" fill="#203a5c"/></svg>'
    decoded = np.asarray(Image.open(io.BytesIO(jpeg)))
    tiles = {
        "tile.png": (file_of(soft, "png"), soft),
        "alpha.png": (file_of(alpha, "png"), soft),
        "tile.jpg": (jpeg, decoded),
        "even.png": (file_of(even, "png"), even),
        "even.svg": (svg, even),
    }
    files, single, tiled, many = {}, [], [], 9
    first = -2 * TILE_MM
    for name, (data, levels) in tiles.items():
        id_, whole = name.replace(".", "-"), f"whole-{name.split('.')[0]}-{name.split('.')[1]}.png"
        files |= {name: data, whole: file_of(np.tile(levels, (many, many, 1)), "png")}
        art = '[[piece.artwork]]\nfile = "{}"\nwidth = "{} mm"\nat = "{} mm, {} mm"\n{}'
        tiled.append(folded(id_, art.format(name, TILE_MM, 0, 0, "repeat = true\n")))
        single.append(folded(id_, art.format(whole, round(many * TILE_MM, 6), first, first, "")))
    repeated, uncut = made(program, folder / "tiled", tiled, files), made(program, folder / "untiled", single, files)
    for page, name in enumerate(tiles, 1):
        for renderer in PICTURE_RENDERERS:
            one, other = renderer(repeated, page), renderer(uncut, page)
            fine = bounds(other.levels, other.levels)
            longest, shines = shining(inside(one.levels, *around()), *fine)
            tally.add(shines)
            differences = abs(inside(one.levels, *around()).astype(int) - inside(other.levels, *around()))
            print(f"{name}, {renderer.__name__}: shining through {shines} (longest run {longest} px), off by {differences.max()} at most", flush=True)
            if tally.testing:
                tally.caught(shining(with_hairline(inside(one.levels, *around())), *fine)[1])


def main():
    arguments = [a for a in sys.argv[1:] if not a.startswith("--")]
    program, folder = arguments[0], Path(arguments[1])
    tally = Tally("--self-test" in sys.argv)
    pictures(program, folder, tally)
    patterns(program, folder, tally)
    print(f"worst {tally.worst} of 255, limit {LIMIT}")
    if tally.testing:
        print(f"caught: hairlines put in, and pages moved by a pixel, are off by {tally.least} at least")
    sys.exit(tally.worst > LIMIT or tally.least <= LIMIT)


if __name__ == "__main__":
    main()
