"""Pieces of `[[part]]` tables, by sums of this script's own.

What a construction's flaps look like is its own business. This script knows the sums of the trade (inside = crease to crease - caliper, and
what they come to for a drawer, a pillow pack, a tag, a band and a double slider), works out blanks, creases and panels from the sizes that
were asked for, and holds the first piece that a plan lays of each kind against them. That piece then stands for all others: every
placement, operation, picture and gap is compared with it as with a drawn piece. Millimetres, y down from the blank's top left corner.
"""

import math
import re
from fractions import Fraction

from shapely import affinity
from shapely.geometry import box
from svgelements import Path

import pieces

SIXTEENTH = Fraction(254, 160)
TOLERANCE_MM = 0.01


def up(value, step):
    """The least multiple of a step that is not less."""
    return math.ceil(Fraction(value) / step) * step if step else Fraction(value)


class Asked:
    """What a part asks for, with the values that its construction takes for usual."""

    def __init__(self, table, stocks):
        self.table, self.stocks = table, stocks
        self.is_inch = any("in" in str(table.get(key, "")) for key in ("inside", "outside", "contents"))
        self.step = pieces.length(table["grid"]) if table.get("grid", "none") != "none" else None
        key = next(key for key in ("inside", "outside", "contents") if key in table)
        texts = re.split(r"\s+x\s+", table[key])
        unit = re.search(r"[a-z]+$", texts[-1]).group()
        ease = pieces.length(table.get("ease", "1/32 in" if self.is_inch else "1 mm")) if key == "contents" else 0
        self.sizes = [pieces.length(text, unit) + ease for text in texts]

    def value(self, key, metric, inch):
        return pieces.length(self.table.get(key, inch if self.is_inch else metric))

    def caliper(self, piece):
        stock = next((d["stock"] for d in self.table.get("piece", []) if d["piece"] == piece and "stock" in d), self.table["stock"])
        return pieces.length(self.stocks[stock]["caliper"])


class Blank:
    """Sizes of a blank (None where the sum is the construction's own), its straight creases across, and its panels by name."""

    def __init__(self, width, height, creases_x=(), creases_y=(), panels=None, count=1):
        self.size = (width, height)
        self.creases = {"x": [float(c) for c in creases_x], "y": [float(c) for c in creases_y]}
        self.panels, self.count = {name: box(*map(float, sides)) for name, sides in (panels or {}).items()}, count


def running(*parts):
    sums = [sum(parts[: i + 1], Fraction(0)) for i in range(len(parts))]
    return sums[-1], sums[:-1]


def drawer(asked):
    (long, wide, deep), t, s = asked.sizes, asked.caliper("drawer"), asked.caliper("sleeve")
    clearance, tab = asked.value("clearance", "0.6 mm", "1/32 in"), asked.value("seam", "12 mm", "1/2 in")
    wall = deep + t / 2
    x, creases_x = running(wall, long + t, wall)
    y, creases_y = running(wall, wide + t, wall)
    # The sleeve's inside is the drawer's outside and the clearance; a caliper to the middle of the paper, another for the tab inside.
    flat, narrow = wide + 2 * t + clearance + s, deep + t + clearance + 2 * s
    strip, folds = running(tab, narrow, flat, narrow, flat - s)
    length = long + 2 * t
    top = {"top": (0, folds[1], length, folds[2])}
    return {"drawer": Blank(x, y, creases_x, creases_y), "sleeve": Blank(length, strip, (), folds, top)}


def pillow_pack(asked):
    wide, long = asked.sizes
    width, folds = running(asked.value("tab", "12 mm", "1/2 in"), wide, wide)
    # The ends of the face's side edges: what lies beyond on both sides is flaps.
    return {"pack": Blank(width, None, folds, (), {"front": (folds[1], 0, width, long)})}


def tag(asked):
    return {"tag": Blank(*asked.sizes)}


def belly_band(asked):
    (wide, thick), t = asked.sizes, asked.caliper("band")
    a, b = up(wide + t, asked.step), up(thick + t, asked.step)
    strip, folds = running(a, b, a, b, asked.value("overlap", "20 mm", "3/4 in"))
    return {"band": Blank(strip, asked.value("band_width", "40 mm", "1 1/2 in"), folds)}


def double_slider(asked):
    (travel, lead), step = asked.sizes, asked.step
    strip, stop = asked.value("strip", "10 mm", "3/8 in"), asked.value("stop", "3 mm", "1/8 in")
    rail, catch = asked.value("rail", "10 mm", "3/8 in"), asked.value("catch", "3 mm", "1/8 in")
    ease = asked.value("band_ease", "1.5 mm", "1/16 in")
    core = travel + strip + 2 * stop  # the seam overlaps by a strip's width
    wide, clearance = core + 2 * rail, up(asked.value("clearance", "0.8 mm", "1/32 in"), step)
    panel = lead + 2 * catch
    high = panel + clearance + 2 * rail
    film = up(2 * (core + asked.caliper("core")) + ease + strip, step)
    turn = up((ease + step) / 2 + Fraction(1, 2), step)  # half the ease and a step, and half a millimetre to turn in
    ride = core + rail + turn
    blanks = {name: Blank(wide, high, panels={side: (0, 0, wide, high)}) for name, side in COVERS.items()}
    blanks |= {name: Blank(ride, panel, panels={"panel": (0, 0, ride, panel)}) for name in ("front-panel", "back-panel")}
    blanks |= {"stiffener": Blank(ride, panel, count=2), "band": Blank(film, lead)}
    return blanks | {"core": Blank(wide, high), "frame": Blank(wide, high, count=2)}


COVERS = {"front-cover": "front", "back-cover": "back"}
SUMS = {
    "drawer": drawer,
    "pillow-pack": pillow_pack,
    "tag": tag,
    "belly-band": belly_band,
    "double-slider": double_slider,
}


class PartPiece:
    """A piece of a part, as `pieces.Piece` is one of a `[[piece]]` table."""

    def __init__(self, table, blank, place, job):
        self.table, self.id, self.per_copy, self.nicks = table, place["piece"], blank.count, None
        sin, cos = round(math.sin(math.radians(place["turn_deg"]))), round(math.cos(math.radians(place["turn_deg"])))
        shift = -place["x_mm"], -place["y_mm"]

        def back(geometry):
            return affinity.affine_transform(affinity.translate(geometry, *shift), [cos, sin, -sin, cos, 0, 0])

        self.area = back(pieces.path_area(pieces.flattened(Path(place["path"]))))
        self.operations = [(o["kind"], o.get("fold"), o["by"], back(pieces.path_lines(o["path"]))) for o in place["operations"]]
        bleeds = [pieces.mm(art.get("bleed", job.get("bleed", "3 mm"))) for art in table.get("artwork", [])]
        self.bleed = max(bleeds, default=0.0)
        left, top = self.area.bounds[:2]
        assert abs(left) < TOLERANCE_MM and abs(top) < TOLERANCE_MM, self.id
        self.panels = {name: self.upright(name, panel) for name, panel in blank.panels.items()}
        self.hold_against(blank)

    def upright(self, name, panel):
        """A pillow pack's face begins where its upper flaps end."""
        if name == "front" and self.id.endswith("/pack"):
            beyond = (self.area.bounds[3] - panel.bounds[3]) / 2
            return affinity.translate(panel, 0, beyond)
        return panel

    def hold_against(self, blank):
        for wanted, found in zip(blank.size, self.area.bounds[2:], strict=True):
            if wanted is not None and abs(float(wanted) - found) > TOLERANCE_MM:
                raise ValueError(f"{self.id}: the blank is {found:.3f} mm, the sum says {float(wanted):.3f} mm")
        found = {"x": set(), "y": set()}
        for kind, _, _, lines in self.operations:
            x0, y0, x1, y1 = lines.bounds
            if kind == "crease" and min(x1 - x0, y1 - y0) < TOLERANCE_MM:
                found["x" if x1 - x0 < y1 - y0 else "y"].add(round(x0 if x1 - x0 < y1 - y0 else y0, 3))
        for axis, creases in blank.creases.items():
            if len(found[axis]) != len(creases) or any(
                abs(a - b) > TOLERANCE_MM for a, b in zip(sorted(found[axis]), sorted(creases), strict=False)
            ):
                raise ValueError(f"{self.id}: creases at {axis} = {sorted(found[axis])}, the sums say {creases}")


def pieces_of_parts(project, plan):
    """The pieces of all parts by id, each held against the sums."""
    stocks, found = {stock["id"]: stock for stock in project["stock"]}, {}
    for part in project.get("part", []):
        blanks = SUMS[part["construction"]](Asked(part, stocks))
        dress = {d["piece"]: d for d in part.get("piece", [])}
        for name, blank in blanks.items():
            piece_id = f"{part['id']}/{name}"
            place = next(p for sheet in plan["sheets"] for p in sheet["placements"] if p["piece"] == piece_id)
            table = {"stock": part["stock"]} | dress.get(name, {})
            found[piece_id] = PartPiece(table, blank, place, project["job"])
    return found
