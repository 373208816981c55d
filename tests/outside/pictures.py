"""Works out where a project's artwork lies on its pieces, in the piece frame.

The proportions of pictures come from Pillow and from the `viewBox` of SVG files. Millimetres, y down.
"""

import csv
import math
import re
from xml.etree import ElementTree

import shapely
from PIL import Image, ImageColor, ImageOps
from shapely import affinity
from shapely.geometry import box

from pieces import grown, mm, pair

UNIT_SQUARE = box(0, 0, 1, 1)


def declared(piece, edition):
    """The artwork tables of a piece in an edition (its table, or an empty one)."""
    tables = [dict(table) for table in piece.table.get("artwork", [])]
    for swap in edition.get("artwork", []):
        if swap["piece"] == piece.id:
            tables[swap["artwork"] - 1] |= {k: v for k, v in swap.items() if k not in ("piece", "artwork")}
    return tables


def proportion(file):
    """Height over width of a picture."""
    if file.suffix == ".svg":
        root = ElementTree.parse(file).getroot()
        _, _, width, height = (float(n) for n in re.split(r"[ ,]+", root.get("viewBox")))
        return height / width
    with Image.open(file) as stored:
        upright = ImageOps.exif_transpose(stored)
        return upright.height / upright.width


def panel_of(piece, name):
    """The area of a panel by its name: a part's own, or the part of the piece around its point, between creases."""
    if isinstance(piece.panels, dict):
        return piece.panels[name]
    at = next(pair(panel["at"], ",") for panel in piece.table.get("panel", []) if panel["name"] == name)
    creases = [line for kind, _, _, line in piece.operations if kind == "crease"]
    parts = shapely.polygonize([shapely.unary_union([piece.area.boundary, *creases])]).geoms
    return next(part for part in parts if part.contains(shapely.Point(at)))


class Artwork:
    """One layer: its face, its bleed, and for a picture the matrix from the unit square to the piece frame."""

    def __init__(self, table, piece, folder, job):
        self.face, self.file = table.get("face", "front"), table.get("file")
        self.colour = "#%02x%02x%02x" % ImageColor.getrgb(table["colour"]) if "colour" in table else None
        self.repeats = "file" in table and table.get("repeat", False)
        # Words have no bleed.
        bleed = 0.0 if "text" in table else mm(table.get("bleed", job.get("bleed", "3 mm")))
        self.clip = grown(piece.area, bleed)
        self.text = table.get("text")
        if self.text:
            self.read_text(table, piece, folder)
        elif "pattern" in table and not self.colour and not self.file:
            self.file = f"pattern {table['pattern']}"
            self.matrix = self.cover(piece.area.bounds[2:], bleed)
        elif self.file:
            panel = piece.panels[table["panel"]].bounds if "panel" in table else (0, 0, *piece.area.bounds[2:])
            size = panel[2] - panel[0], panel[3] - panel[1]
            matrix = self.matrix_of(table, size, proportion(folder / self.file))
            self.matrix = product([1, 0, 0, 1, panel[0], panel[1]], matrix)

    def read_text(self, table, piece, folder):
        """The box that words may not leave, in the piece frame, and the rows they are taken from by their line in the list."""
        panel = panel_of(piece, table["panel"]).bounds if "panel" in table else (0, 0, *piece.area.bounds[2:])
        wide, high = pair(table["box"], "x") if "box" in table else (panel[2] - panel[0], panel[3] - panel[1])
        left, top = pair(table["at"], ",") if "at" in table else ((panel[2] - panel[0] - wide) / 2, (panel[3] - panel[1] - high) / 2)
        self.room = box(panel[0] + left, panel[1] + top, panel[0] + left + wide, panel[1] + top + high)
        self.rows = {}
        if "from" in table:
            with open(folder / table["from"], encoding="utf-8-sig", newline="") as rows:
                reader = csv.DictReader(rows)
                self.rows = {reader.line_num: row for row in reader}

    def says(self, line):
        """The lines of words on a copy that takes this line of the list."""
        row = self.rows.get(line, {})
        return re.sub(r"\{(\w+)\}", lambda key: row[key[1]].strip(), self.text).split("\n")

    def cover(self, face_size, bleed):
        """A pattern is a picture of its face and four bleeds around it (a mitred corner reaches no farther), in whole millimetres."""
        low = math.floor(-4 * bleed)
        wide, high = (math.ceil(side + 4 * bleed) - low for side in face_size)
        flip = [-1, 0, 0, 1, face_size[0], 0] if self.face == "back" else [1, 0, 0, 1, 0, 0]
        return product(flip, [wide, 0, 0, high, low, low])

    def matrix_of(self, table, face_size, proportion):
        """[a, b, d, e, x, y] as shapely takes it."""
        width = mm(table["width"])
        height = width * proportion
        turn = math.radians(float(table.get("turn", "0 deg").split()[0]))
        sin, cos = round(math.sin(turn)), round(math.cos(turn))
        across, down = (height, width) if sin else (width, height)
        left, top = pair(table["at"], ",") if "at" in table else ((face_size[0] - across) / 2, (face_size[1] - down) / 2)
        left += {(0, 1): 0, (1, 0): across, (0, -1): across, (-1, 0): 0}[sin, cos]
        top += {(0, 1): 0, (1, 0): 0, (0, -1): down, (-1, 0): down}[sin, cos]
        matrix = [width * cos, -height * sin, width * sin, height * cos, left, top]
        # The back is seen after turning over left to right.
        flip = [-1, 0, 0, 1, face_size[0], 0] if self.face == "back" else [1, 0, 0, 1, 0, 0]
        return product(flip, matrix)


def product(left, right):
    """Both as [a, b, d, e, x, y]; the right one is applied first."""
    a, b, d, e, x, y = left
    p, q, r, s, u, v = right
    return [a * p + b * r, a * q + b * s, d * p + e * r, d * q + e * s, a * u + b * v + x, d * u + e * v + y]


def from_plan(matrix):
    """A plan's [a, b, c, d, e, f] in shapely's order."""
    a, b, c, d, e, f = matrix
    return [a, c, b, d, e, f]


def places_deviation(found, wanted, clip, repeats):
    """How far planned places of a picture are from the wanted one, or from its repeats, which have to cover the clip."""
    tiles = [affinity.affine_transform(UNIT_SQUARE, from_plan(matrix)) for matrix in found]
    if not repeats and len(tiles) != 1:
        return math.inf
    if repeats and clip.difference(shapely.union_all([tile.buffer(1e-4) for tile in tiles])).area > 1e-6:
        return math.inf
    return max(place_deviation(from_plan(matrix), wanted, repeats) for matrix in found)


def place_deviation(found, wanted, repeats):
    """The largest distance of a corner of the picture."""
    if repeats:
        a, b, d, e, x, y = wanted
        right, down = found[4] - x, found[5] - y
        area = a * e - b * d
        across, along = round((right * e - down * b) / area), round((down * a - right * d) / area)
        wanted = [a, b, d, e, x + across * a + along * b, y + across * d + along * e]
    corners = [(0, 0), (1, 0), (0, 1), (1, 1)]
    at = [[(m[0] * u + m[1] * v + m[4], m[2] * u + m[3] * v + m[5]) for u, v in corners] for m in (found, wanted)]
    return max(math.dist(p, q) for p, q in zip(*at, strict=True))
