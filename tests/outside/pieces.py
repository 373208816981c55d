"""Works out every piece of a project file: area, panels and operations, in the piece frame.

Shares nothing with the tool but the file format: lengths are fractions, path data is read by svgelements, areas are made by
shapely. Millimetres, y down from the top left corner of the shape's box.
"""

import math
import re
from fractions import Fraction

import numpy as np
import shapely
import svgelements
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Point, Polygon, box
from shapely.geometry.polygon import orient

UNIT_MM = {"in": Fraction(127, 5), "mm": Fraction(1), "cm": Fraction(10)}
SIDES = ("top", "right", "bottom", "left")
GRID_MM = 1e-6  # areas are put together on whole nanometres, which leaves no slits between parts that touch
# Along a curve, closest at its ends: there the direction has to be right for the mitre beyond a corner.
STEPS = [(1 - math.cos(math.pi * i / 200)) / 2 for i in range(1, 201)]


def length(text, unit=None):
    """Millimetres of a length such as "2 1/4 in"."""
    found = re.fullmatch(r"([+-]?)\s*(?:(\d+)[ -])?\s*(\d+/\d+|\d*\.?\d+)\s*(in|mm|cm)?", text.strip())
    if not found:
        raise ValueError(f"cannot read the length {text!r}")
    sign, whole, rest, own_unit = found.groups()
    value = (Fraction(whole or 0) + Fraction(rest)) * UNIT_MM[own_unit or unit]
    return -value if sign == "-" else value


def pair(text, separator=r"\s+x\s+"):
    """Two lengths; a unit on the last one holds for both."""
    first, second = re.split(separator, text)
    unit = re.search(r"[a-z]+$", second.strip())
    return float(length(first, unit and unit.group())), float(length(second))


def mm(text):
    return float(length(text))


def four_sides(value):
    """Top, right, bottom, left of an even or uneven value."""
    return [mm(value)] * 4 if isinstance(value, str) else [mm(value[side]) for side in SIDES]


def flattened(path):
    """Point lists of path data, curves in fine steps; no step strays more than a micrometre at these sizes."""
    rings = []
    for segment in path:
        if isinstance(segment, svgelements.Move):
            rings.append([segment.end])
        elif isinstance(segment, (svgelements.Line, svgelements.Close)):
            if segment.end is not None:
                rings[-1].append(segment.end)
        else:
            rings[-1] += [segment.point(t) for t in STEPS]
    return [[(p.x, p.y) for p in ring] for ring in rings]


def path_lines(data, scale=1.0):
    return MultiLineString([[(x * scale, y * scale) for x, y in ring] for ring in flattened(svgelements.Path(data))])


def path_area(rings):
    """The area of closed rings; a ring inside another is a hole."""
    area = Polygon()
    for ring in rings:
        area = area.symmetric_difference(Polygon(ring))
    return area


def to_corner(area):
    left, top, _, _ = area.bounds
    return affinity.translate(area, -left, -top)


def svg_area(shape, folder):
    drawing = svgelements.SVG.parse(folder / shape["file"], ppi=25.4)
    closed = [e for e in drawing.elements() if isinstance(e, svgelements.Shape) and e.id == shape.get("element", e.id)]
    area = to_corner(path_area(flattened(svgelements.Path(closed[0]))))
    factor = mm(shape["width"]) / area.bounds[2] if "width" in shape else 1.0
    return affinity.scale(area, factor, factor, origin=(0, 0))


def sides_of(shape):
    return pair(shape["size"]) if "size" in shape else (mm(shape["width"]), mm(shape["height"]))


def regular(shape):
    sides = shape["sides"]
    if "across_corners" in shape:
        radius = mm(shape["across_corners"]) / 2 / (1 if sides % 2 == 0 else math.cos(math.pi / 2 / sides))
    elif "across_flats" in shape:
        radius = mm(shape["across_flats"]) / 2 / math.cos(math.pi / sides)
    else:
        radius = mm(shape["side"]) / 2 / math.sin(math.pi / sides)
    turns = [2 * math.pi * i / sides for i in range(sides)]
    return to_corner(Polygon([(radius * math.sin(a), -radius * math.cos(a)) for a in turns]))


def strip(shape):
    """Outline and crease positions of a strip, drawn along x and stood up if it runs along y."""
    across = mm(shape["across"])
    if "panels" in shape:
        edges = [sum((length(p) for p in shape["panels"][: i + 1]), Fraction(0)) for i in range(len(shape["panels"]))]
        long, creases = float(edges[-1]), [float(e) for e in edges[:-1]]
    else:
        long, creases = mm(shape["length"]), [mm(c) for c in shape["creases_at"]]
    depth = mm(shape.get("snip", "1/16 in"))
    along = depth * math.tan(math.radians(float(shape.get("snip_angle", "45 deg").split()[0])))
    a, b = (along if shape.get("snipped", "none") in (end, "both") else 0.0 for end in ("start", "end"))
    da, db = (depth if cut else 0.0 for cut in (a, b))
    ring = [(0, da), (a, 0), (long - b, 0), (long, db), (long, across - db), (long - b, across), (a, across), (0, across - da)]
    area = Polygon(ring).buffer(0)
    lines = [LineString([(c, 0), (c, across)]) for c in creases]
    panels = [box(x0, 0, x1, across) for x0, x1 in zip([0, *creases], [*creases, long], strict=True)]
    if shape.get("along", "x") == "y":
        area, *rest = (affinity.affine_transform(g, [0, 1, 1, 0, 0, 0]) for g in (area, *lines, *panels))
        lines, panels = rest[: len(lines)], rest[len(lines) :]
    folds = shape.get("folds", [shape.get("fold", "valley")] * len(lines))
    return area, list(zip(lines, folds, strict=True)), panels


def outline(shape, folder):
    match shape["kind"]:
        case "rectangle":
            return box(0, 0, *sides_of(shape))
        case "rounded-rectangle":
            (width, height), radius = sides_of(shape), mm(shape["radius"])
            return box(radius, radius, width - radius, height - radius).buffer(radius, quad_segs=200)
        case "circle":
            return to_corner(Point(0, 0).buffer(mm(shape["diameter"]) / 2, quad_segs=200))
        case "ellipse":
            width, height = sides_of(shape)
            return to_corner(affinity.scale(Point(0, 0).buffer(1, quad_segs=200), width / 2, height / 2))
        case "polygon":
            return regular(shape)
        case "path":
            factor = float(UNIT_MM[shape["unit"]])
            return to_corner(affinity.scale(path_area(flattened(svgelements.Path(shape["data"]))), factor, factor, origin=(0, 0)))
        case "svg":
            return svg_area(shape, folder)
        case "strip":
            return strip(shape)[0]
        case other:
            raise ValueError(f"unknown shape {other!r}")


def grown(area, distance, mitre_limit=4):
    """The area with every side moved outwards, or inwards by a negative distance, and mitred corners.

    Put together from what each side and each corner adds or takes. GEOS's own buffer is not used: it first smooths away dents
    of up to a hundredth of the distance.
    """
    if not distance:
        return area
    parts = []
    shell = orient(area)
    for ring in (shell.exterior, *shell.interiors):
        corners = np.array(ring.coords)[:-1]
        ends = np.roll(corners, -1, axis=0)
        along = (ends - corners) / np.linalg.norm(ends - corners, axis=1, keepdims=True)
        # The paper lies to the left of each side in these coordinates.
        shift = np.stack([along[:, 1], -along[:, 0]], axis=1) * distance
        parts += [Polygon(side) for side in np.stack([corners, ends, ends + shift, corners + shift], axis=1)]
        for corner, before, after in zip(corners, np.roll(shift, 1, axis=0), shift, strict=True):
            cos_turn = before @ after / distance**2
            reach = 1 / math.sqrt(max((1 + cos_turn) / 2, 1e-12))
            opens = distance * (before[0] * after[1] - before[1] * after[0]) > 0
            if opens and reach <= mitre_limit:
                tip = corner + (before + after) / (1 + cos_turn)
                parts.append(Polygon([corner, corner + before, tip, corner + after]))
    moved = shapely.union_all([part.buffer(0) for part in parts], grid_size=GRID_MM)
    combine = shapely.union if distance > 0 else shapely.difference
    return without_slits(combine(area, moved, grid_size=GRID_MM))


def without_slits(area):
    """The area without rings that are nothing but rounding: less than a hundredth of a micrometre wide."""

    def is_wide(ring):
        return Polygon(ring).area > 1e-5 * ring.length / 2

    parts = [part for part in getattr(area, "geoms", [area]) if is_wide(part.exterior)]
    return shapely.union_all([Polygon(part.exterior, [hole for hole in part.interiors if is_wide(hole)]) for part in parts])


def revealed(base, reveal):
    top, right, bottom, left = four_sides(reveal)
    if top == right == bottom == left:
        return to_corner(grown(base, -top))
    x0, y0, x1, y1 = base.bounds
    return to_corner(box(x0 + left, y0 + top, x1 - right, y1 - bottom))


def nicks_of(table, job, area):
    """Count and length of what holds a piece, as it says itself or as its job says of small ones; or None."""
    own = table.get("nicks", job.get("nicks"))
    x0, y0, x1, y1 = area.bounds
    if own in (None, "none") or "nicks" not in table and max(x1 - x0, y1 - y0) >= mm(own["below"]):
        return None
    return own.get("count", 3), mm(own.get("length", "0.4 mm"))


class Piece:
    """What the project says about one piece: area, panels, operations (kind, fold, by, lines), and how it may lie."""

    def __init__(self, table, others, folder, job):
        self.table, self.id = table, table["id"]
        shape, mount = table.get("shape"), table.get("mount", {})
        self.panels, creases = [], []
        if "reveal" in mount:
            base, _, panel = mount["on"].partition(":")
            self.area = revealed(others[base].panels[int(panel) - 1] if panel else others[base].area, mount["reveal"])
        else:
            self.area = outline(shape, folder)
        by_hand = "hand" if job["cut_by"] == "trimmer" else "machine"
        if shape and shape["kind"] == "strip":
            _, creases, self.panels = strip(shape)
        maker = (shape or {}).get("crease_by", by_hand)
        self.operations = [("crease", fold, maker, line) for line, fold in creases]
        self.operations += [self.operation(o, by_hand) for o in table.get("operation", [])]
        self.operations.append(("cut", None, table.get("cut_by", by_hand), self.area.boundary))
        self.nicks = nicks_of(table, job, self.area) if table.get("cut_by", by_hand) == "machine" else None
        self.per_copy = table.get("per_copy", 1) * mount.get("plies", 1)
        bleeds = [mm(art.get("bleed", job.get("bleed", "3 mm"))) for art in table.get("artwork", [])]
        self.bleed = max(bleeds, default=0.0)

    def operation(self, table, by):
        kind = "crease" if table["kind"] == "score" else table["kind"]
        fold = table.get("fold", "valley") if kind == "crease" else None
        return kind, fold, table.get("by", by), self.line(table)

    def line(self, table):
        x0, y0, x1, y1 = self.area.bounds
        if "at_x" in table or "at_y" in table:
            at = mm(table.get("at_x", table.get("at_y")))
            through = [(at, y0 - 1), (at, y1 + 1)] if "at_x" in table else [(x0 - 1, at), (x1 + 1, at)]
            return LineString(through).intersection(self.area.buffer(1e-6))
        if "at" in table:
            return Point(pair(table["at"], ",")).buffer(mm(table["diameter"]) / 2, quad_segs=200).boundary
        if "from" in table:
            return LineString([pair(table["from"], ","), pair(table["to"], ",")])
        return path_lines(table["path"], float(UNIT_MM[table["unit"]]))


def pieces_of(project, folder):
    found, waiting = {}, list(project.get("piece", []))
    while waiting:
        table = waiting.pop(0)
        base = table.get("mount", {}).get("on", "").partition(":")[0]
        if base and base not in found:
            waiting.append(table)
        else:
            found[table["id"]] = Piece(table, found, folder, project["job"])
    return found


def editions_of(project):
    """(id, copies wanted, spare copies, stock swaps) of every edition."""
    job = project["job"]
    for edition in project.get("edition", [{"id": "", "copies": job.get("copies")}]):
        spares = edition.get("spares", job.get("spares", 0))
        if isinstance(spares, str):
            spares = math.ceil(Fraction(spares.rstrip("% ")) * edition["copies"] / 100)
        yield edition["id"], edition["copies"], spares, edition.get("stock", {})
