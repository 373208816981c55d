#!/usr/bin/env python3
"""Judges the pages that lie on the maker's table: instructions.pdf, templates.pdf and kit.pdf of a made folder, by other programs.

    pages.py DIR              one line a file and check; exit code 1 if anything is wrong
    pages.py --self-test DIR  the same on damaged files and grown pieces, each of which has to be seen

In the pixels of poppler (through cairo) and mupdf at 600 dots an inch: every line of every piece against plan.json at the scale that the
page's words say (1:1 on templates), and the rules against their own numbers, within 0.02 mm on the paper. poppler's own rasteriser is not
asked: it moves each upright or level line to whole pixels, up to 0.042 mm a length, which no file can help. Where on the page a drawing
stands is free; kinds of lines must differ in what is dark along them, without colour.

On all pages: nothing inked outside 7 3/4 x 10 1/2 in about the middle, each drawing once and whole, letters of 11 points or more (by
mupdf), colours of ink with a contrast of 7:1 on white (WCAG 2.2) but in pictures, `qpdf --check`, fonts embedded, and nothing in the
information but title, author and producer.
"""

import base64
import json
import math
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from content import Pdf
from pieces import path_lines
from pixels import MM_PER_INCH, Raster, across
from raster import LIMIT_MM, places_on, typical
from shapely import affinity
from shapely.geometry import LineString

INSIDE_MM = (7.75 * MM_PER_INCH, 10.5 * MM_PER_INCH)
LEAST_POINTS = 11
CONTRAST = 7
PICTURES = {"object-drawing", "flat-picture", "photo", "logo", "artwork"}
DRAWINGS = {"piece-drawing", "object-drawing", "flat-picture", "piece-picture", "rule", "scale-bar"}
COARSE_DPI = 150


class Grey(Raster):
    """The pixels of a page, rendered in grey: what a grey printer gets."""

    def __init__(self, program, pdf, page, dpi=600):
        range_of = ["-f", str(page), "-l", str(page), "-singlefile"]
        command = {
            "poppler": ["pdftocairo", "-png", "-gray", "-r", str(dpi), *range_of, str(pdf), "-"],
            "mupdf": ["mutool", "draw", "-q", "-F", "png", "-c", "gray", "-r", str(dpi), "-o", "-", str(pdf), str(page)],
        }[program]
        super().__init__(subprocess.run(command, check=True, capture_output=True).stdout, dpi)


def run(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


class Piece:
    """A piece's lines in its own frame, from its first placement in the plan; where its box stands is left open."""

    def __init__(self, place, face):
        sin, cos = math.sin(math.radians(place["turn_deg"])), math.cos(math.radians(place["turn_deg"]))
        flip = -1 if place["face_down"] else 1
        seen = -1 if face == "back" else 1
        matrix = [cos * flip * seen, sin * flip * seen, -sin, cos, 0, 0]
        own = {o["id"].removeprefix(place["id"]): o["path"] for o in place["operations"]}
        own[".outline"] = place["path"]
        self.kinds = {o["id"].removeprefix(place["id"]): o.get("fold", o["kind"]) for o in place["operations"]}
        self.lines = {name: affinity.affine_transform(path_lines(path), matrix) for name, path in own.items()}
        if (place["face_down"] != (face == "back")) and "mountain" in self.kinds.values():
            swap = {"mountain": "valley", "valley": "mountain"}
            self.kinds = {name: swap.get(kind, kind) for name, kind in self.kinds.items()}
        self.start = np.array(self.lines[".outline"].geoms[0].coords[0])

    def grown(self, by_mm):
        """The same with its longer side larger by so much."""
        x0, y0, x1, y1 = self.lines[".outline"].bounds
        factor = 1 + by_mm / max(x1 - x0, y1 - y0)
        other = object.__new__(Piece)
        other.kinds, other.start = self.kinds, self.start * factor
        other.lines = {n: affinity.scale(line, factor, factor, origin=(0, 0)) for n, line in self.lines.items()}
        return other


def pieces_of(plan, on_templates):
    faces = {work["piece"]: work["scored_face"] for work in plan["handout"]["pieces"]}
    found = {}
    for place in (p for sheet in plan["sheets"] for p in sheet["placements"]):
        if place["piece"] not in found or (found[place["piece"]][0]["face_down"] and not place["face_down"]):
            found[place["piece"]] = (place, "front" if on_templates else faces[place["piece"]])
    return {piece: Piece(*of) for piece, of in found.items()}


def offsets_of(drawing, raster, reach_mm=0.5, step_mm=0.25):
    """(points, normals, offsets) of each line of a drawing, where it was seen."""
    found = {}
    for name, lines in drawing.items():
        points, normals = places_on(lines, step_mm=step_mm)
        height, width = raster.dark.shape
        inside = (points > 1).all(axis=1) & (points < np.array([width, height]) / raster.pixels_per_mm - 1).all(axis=1)
        points, normals = points[inside], normals[inside]
        inked = raster.sample(raster.dark, points) > 64 if len(points) else []
        points, normals = points[inked], normals[inked]
        if len(points):
            found[name] = (points, normals, line_offsets_kept(raster, points, normals, reach_mm))
    return found


def line_offsets_kept(raster, points, normals, reach_mm):
    """`line_offsets`, each with its point; NaN where the line was not alone."""
    whole = np.full(len(points), np.nan)
    offsets, places = across(points, normals, reach_mm, steps=161)
    dark = raster.sample(raster.dark, places)
    ink = dark.sum(axis=1)
    usual = np.median(ink)
    clean = (abs(ink / usual - 1) < 0.1) & (dark[:, [0, -1]].max(axis=1) < 0.05 * dark.max(axis=1))
    whole[clean] = (dark @ offsets)[clean] / ink[clean]
    return whole


def fitted(found):
    """Deviations line by line once the whole drawing is shifted to where it fits best, and how many places were measured."""
    rows, values = [], []
    for _, normals, offsets in found.values():
        seen = ~np.isnan(offsets)
        rows.append(normals[seen])
        values.append(offsets[seen])
    if not rows or sum(map(len, values)) < 4:
        return {}
    shift, *_ = np.linalg.lstsq(np.concatenate(rows), np.concatenate(values), rcond=None)
    off = {}
    for name, (_, normals, offsets) in found.items():
        # Each straight side for itself: places with one direction.
        seen = ~np.isnan(offsets)
        ways = np.round(np.degrees(np.arctan2(normals[seen][:, 1], normals[seen][:, 0])) / 5)
        left = offsets[seen] - normals[seen] @ shift
        sides = [typical(left[ways == way]) for way in np.unique(ways) if (ways == way).sum() >= 5]
        if sides:
            off[name] = max(sides)
    return off


def drawing_at(piece, scale, start, turned=False):
    """A piece's lines on the page, its outline beginning at `start`."""
    matrix = [0, -scale, scale, 0] if turned else [scale, 0, 0, scale]
    moved = {n: affinity.affine_transform(line, [*matrix, 0, 0]) for n, line in piece.lines.items()}
    first = np.array(affinity.affine_transform(LineString([piece.start, piece.start]), [*matrix, 0, 0]).coords[0])
    x, y = np.asarray(start) - first
    return {n: affinity.translate(line, x, y) for n, line in moved.items()}


def starts(painted, on_templates):
    """Where each piece's outline begins: piece -> the first corner of it."""
    found = {}
    for item in painted:
        ids = [i for kind, i in item.tags if kind == "cut" and i.endswith(".outline")]
        if ids and item.kind == "stroke" and (on_templates or any(k == "piece-drawing" for k, _ in item.tags)):
            found[ids[0].removesuffix(".outline")] = item.points_mm[0]
    return found


def measured(piece, scale, start, raster, on_templates):
    best = {}
    for turned in (False, True) if on_templates else (False,):
        found = offsets_of(drawing_at(piece, scale, start, turned), raster)
        off = fitted(found)
        if len(off) > len(best) or (len(off) == len(best) and sum(off.values()) < sum(best.values())):
            best = off
    return best


def ticks(first, step, count, y0, y1):
    return {f"tick {i}": LineString([(first + i * step, y0), (first + i * step, y1)]) for i in range(count)}


def rules(painted):
    """Ticks of the rules that their words promise: (what, lines)."""
    for item in painted:
        kind, own = item.tags[-1] if item.tags else ("", "")
        if item.kind != "stroke" or kind not in ("rule", "scale-bar"):
            continue
        (x0, y0), (x1, y1) = item.points_mm.min(axis=0), item.points_mm.max(axis=0)
        if kind == "rule":
            yield "mm rule", ticks(x0, 10.0, 11, y0, y0 + 1.5)
            yield "inch rule", ticks(x0, MM_PER_INCH, 5, y1 - 1.5, y1)
        else:
            number, unit = own.split()
            yield f"bar of {own}", ticks(x0, float(number) * (MM_PER_INCH if unit == "in" else 1), 2, y0, y0 + 1.2)


def dark_runs(raster, line):
    """Lengths of what is dark along a straight line, without its two ends, and of all of it."""
    count = max(int(line.length / 0.02), 2)
    points = np.array([line.interpolate(d).coords[0] for d in np.linspace(0, line.length, count)])
    dark = raster.sample(raster.dark, points) > 128
    edges = np.flatnonzero(np.diff(dark.astype(int)))
    runs = [(b - a) * line.length / (count - 1) for a, b in zip(edges[:-1], edges[1:]) if dark[a + 1]]
    return runs, dark.mean()


# What is dark along a kind of line: the longest run, from the legend's words and samples.
LONGEST_MM = {"valley": 2.0, "mountain": 4.0, "partial-cut": 7.0}


def check_kinds(kinds, drawing, raster, say):
    """Creases told apart by their dashes alone."""
    seen = 0
    for name, kind in kinds.items():
        for line in drawing[name].geoms:
            if kind in ("valley", "mountain") and line.length > 20 and len(line.coords) == 2:
                runs, share = dark_runs(raster, line)
                if runs and share < 0.95:
                    seen += 1
                    off = abs(max(runs) - LONGEST_MM[kind])
                    if off > 0.3:
                        say(f"a {kind} crease {name} has strokes of {max(runs):.2f} mm")
    return seen


def check_scale(folder, name, plan, grow_mm=0.0, programs=("poppler", "mupdf")):
    """Every piece's drawing and every rule in pixels: (what is wrong, the worst deviation, how many lines, how many dashed creases)."""
    on_templates = name == "templates.pdf"
    wrong, worst, count, creases = [], 0.0, 0, 0
    path, pieces = folder / name, pieces_of(plan, on_templates)
    pdf = Pdf.read(path)
    scales, there = dict.fromkeys(pieces, 1.0), set()
    if not on_templates:
        told = re.findall(r"^drawn 1:([\d.]+), ", run("pdftotext", "-layout", str(path), "-"), re.M)
        works = [work["piece"] for work in plan["handout"]["pieces"]]
        there = {work["piece"] for work in plan["handout"]["pieces"] if work["have"] >= work["wanted"]}
        if len(told) != len(works):
            return [f"{len(told)} scales for {len(works)} pieces"], worst, count, creases
        scales = {piece: 1 / float(scale) for piece, scale in zip(works, told)}
    unseen = {piece: set(of.lines) for piece, of in pieces.items()}
    for number in range(len(pdf.pages)):
        _, _, painted = pdf.page(number)
        at, bars = starts(painted, on_templates), list(rules(painted))
        if not at and not bars:
            continue
        for program in programs:
            raster = Grey(program, path, number + 1)
            for piece, start in at.items():
                if piece not in pieces:
                    # What is there already lies on no sheet, and the plan has no path of it.
                    wrong += [] if piece in there else [f"page {number + 1} draws {piece}, which no sheet holds"]
                    continue
                of = pieces[piece].grown(grow_mm / scales[piece]) if grow_mm else pieces[piece]
                off = measured(of, scales[piece], start, raster, on_templates)
                unseen[piece] -= set(off)
                count += len(off)
                worst = max([worst, *off.values()])
                wrong += [f"page {number + 1}, {program}: {piece}{n} is off by {o:.3f} mm" for n, o in off.items() if o > LIMIT_MM]
                if not on_templates:
                    creases += check_kinds(of.kinds, drawing_at(of, scales[piece], start), raster, wrong.append)
            for what, lines in bars:
                off = fitted(offsets_of(lines, raster, reach_mm=0.4, step_mm=0.05))
                count += len(off)
                worst = max([worst, *off.values()])
                if len(off) < len(lines) or max(off.values()) > LIMIT_MM:
                    wrong.append(f"page {number + 1}, {program}: {what} is off: {off}")
    wrong += [f"not measured: {piece}{line}" for piece, lines in unseen.items() for line in sorted(lines) if line == ".outline"]
    return wrong, worst, count, creases


def luminance(colour):
    """Relative luminance by WCAG 2.2."""
    channels = colour * 3 if len(colour) == 1 else colour
    if len(colour) == 4:
        channels = [(1 - c) * (1 - colour[3]) for c in colour[:3]]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def check_pages(path, rendered=True):
    """What is wrong with a file's pages: ink outside (if they are rendered), split drawings, pale ink."""
    wrong, drawings = [], {}
    pdf = Pdf.read(path)
    for number in range(len(pdf.pages)):
        width, height, painted = pdf.page(number)
        corner = np.array([width - INSIDE_MM[0], height - INSIDE_MM[1]]) / 2
        if rendered and has_ink_outside(path, number, corner):
            wrong.append(f"page {number + 1} has ink outside 7 3/4 x 10 1/2 in")
        for item in painted:
            wrong += check_ink(item, number)
            for tag in item.tags:
                if tag[0] in DRAWINGS:
                    drawings.setdefault(tag, set()).add(number)
    for tag, pages in drawings.items():
        if tag[0] == "piece-drawing" and len(pages) > 1:
            wrong.append(f"the drawing of {tag[1]} is on {len(pages)} pages")
    return sorted(set(wrong)), drawings


def has_ink_outside(path, number, corner):
    """Whether anything is dark outside; marks of a punch stand in the margin of templates (ISO 838: 12 mm from the edge)."""
    raster = Grey("mupdf", path, number + 1, COARSE_DPI)
    low = np.floor(corner * raster.pixels_per_mm).astype(int)
    high = np.ceil((corner + INSIDE_MM) * raster.pixels_per_mm).astype(int)
    outside = raster.dark.copy()
    outside[low[1] : high[1], low[0] : high[0]] = 0
    _, columns = np.nonzero(outside)
    is_hole = path.name == "templates.pdf" and (columns / raster.pixels_per_mm < 15).all()
    return len(columns) > 0 and not is_hole


def check_ink(item, number):
    if any(kind in PICTURES for kind, _ in item.tags) or item.kind == "picture":
        return
    if item.colour == (1.0,) or item.colour == (1.0, 1.0, 1.0):
        return
    contrast = 1.05 / (luminance(item.colour) + 0.05)
    if contrast < CONTRAST:
        yield f"page {number + 1} has {item.kind} with a contrast of {contrast:.2f}:1"
    if len(item.colour) != 1 and len(set(item.colour)) != 1:
        yield f"page {number + 1} has {item.kind} in colour outside pictures"


def smallest_points(path):
    """The smallest letters of a file, as mupdf draws them."""
    trace = run("mutool", "draw", "-q", "-F", "trace", "-o", "-", str(path))
    smallest = math.inf
    for block in re.findall(r"<fill_text .*?</fill_text>", trace, re.S):
        a, b, c, d, *_ = map(float, re.search(r'transform="([^"]+)"', block).group(1).split())
        for trm in re.findall(r'<span [^>]*trm="([^"]+)"', block):
            e, f, g, h, *_ = map(float, trm.split())
            smallest = min(smallest, math.sqrt(abs((a * d - b * c) * (e * h - f * g))))
    return smallest


def check_file(path):
    """Structure, fonts and information."""
    wrong = []
    checked = subprocess.run(["qpdf", "--check", str(path)], capture_output=True, text=True)
    if checked.returncode or "No syntax or stream encoding errors" not in checked.stdout:
        wrong.append("qpdf --check complains")
    fonts = run("pdffonts", str(path)).splitlines()[2:]
    wrong += [f"font not embedded: {font}" for font in fonts if not re.search(r"\s(yes)\s+(yes|no)\s+(yes|no)\s+\d+\s+\d+$", font)]
    information, catalog = Pdf.read(path).information()
    wrong += [f"the information holds {key}" for key in set(information) - {"/Title", "/Author", "/Producer"}]
    if "/Metadata" in catalog:
        wrong.append("there is a metadata stream")
    return wrong


def judged(folder, name, plan):
    """(what is wrong, a line of numbers) of a file."""
    path = folder / name
    wrong, drawings = check_pages(path)
    wrong += check_file(path)
    points = smallest_points(path)
    if points < LEAST_POINTS - 0.01:
        wrong.append(f"letters of {points:.2f} points")
    told = f"{len(Pdf.read(path).pages)} pages, letters of {points:.2f} pt and more"
    if name != "kit.pdf":
        off, worst, count, creases = check_scale(folder, name, plan)
        wrong += off
        told += f", {count} lines within {worst:.4f} mm, {creases} dashed creases told apart"
    if name == "instructions.pdf":
        drawn = {i for kind, i in drawings if kind == "piece-drawing"}
        wrong += [f"no drawing of {work['piece']}" for work in plan["handout"]["pieces"] if work["piece"] not in drawn]
    return wrong, told


def spoilt(path, out, change):
    """Writes a damaged copy: `change` gets the objects and may change streams through `edit`."""
    command = ["qpdf", "--json=2", "--json-stream-data=inline", "--decode-level=generalized", str(path)]
    whole = json.loads(run(*command))
    change(whole["qpdf"][1])
    source = out.with_suffix(".json")
    source.write_text(json.dumps(whole))
    run("qpdf", "--json-input", str(source), str(out))


def edit(old, new):
    """A change of the first stream that holds some bytes."""

    def change(objects):
        for value in objects.values():
            stream = value.get("stream")
            data = base64.b64decode(stream["data"]) if stream else b""
            if stream and old in data and b" BDC" in data:
                stream["data"] = base64.b64encode(data.replace(old, new, 1)).decode()
                return
        raise ValueError(f"no stream holds {old}")

    return change


def creator(objects):
    information = objects["trailer"]["value"]["/Info"]
    objects[f"obj:{information}"]["value"]["/Creator"] = "u:somebody"


def fontless(objects):
    for value in objects.values():
        own = value.get("value")
        if isinstance(own, dict) and own.get("/Type") == "/FontDescriptor":
            own.pop("/FontFile2", None)
            own.pop("/FontFile3", None)


DAMAGES = {
    "a line outside": edit(b"/OC", b"q 0 G 1 w 2 2 m 9 2 l S Q /OC"),
    "small letters": edit(b" 3.9 Tf", b" 3.8 Tf"),
    "pale ink": edit(b"0.2902 g", b"0.5 g"),
    "a drawing gone": edit(b"(piece-drawing)", b"(piece-ghost)"),
    "a name in the information": creator,
    "a font not embedded": fontless,
}


def self_test(folder, plan):
    """Each damage has to be found."""
    missed = []
    with tempfile.TemporaryDirectory() as made:
        made = Path(made)
        for what, change in DAMAGES.items():
            out = made / "instructions.pdf"
            spoilt(folder / "instructions.pdf", out, change)
            wrong, drawings = check_pages(out, rendered=what == "a line outside")
            wrong += check_file(out)
            drawn = {i for kind, i in drawings if kind == "piece-drawing"}
            if smallest_points(out) < LEAST_POINTS - 0.01:
                wrong.append("small letters")
            wrong += [f"no drawing of {w['piece']}" for w in plan["handout"]["pieces"] if w["piece"] not in drawn]
            print(f"{'caught' if wrong else 'MISSED'}: {what}: {wrong[:1]}", flush=True)
            missed += [] if wrong else [what]
    for name in ("instructions.pdf", "templates.pdf"):
        wrong, *_ = check_scale(folder, name, plan, grow_mm=0.08, programs=["mupdf"])
        off = [w for w in wrong if "off by" in w]
        print(f"{'caught' if off else 'MISSED'}: {name} of pieces 0.08 mm larger: {off[:1]}", flush=True)
        missed += [] if off else [name]
    return missed


def main():
    arguments = [a for a in sys.argv[1:] if a != "--self-test"]
    if len(arguments) != 1:
        sys.exit(__doc__)
    folder = Path(arguments[0])
    plan = json.loads((folder / "plan.json").read_text())
    if "--self-test" in sys.argv:
        sys.exit(bool(self_test(folder, plan)))
    is_wrong = False
    for name in ("instructions.pdf", "templates.pdf", "kit.pdf"):
        if (folder / name).exists():
            wrong, told = judged(folder, name, plan)
            print(f"{name}: {told}", *wrong, sep="\n  ", flush=True)
            is_wrong = is_wrong or bool(wrong)
    sys.exit(is_wrong)


if __name__ == "__main__":
    main()
