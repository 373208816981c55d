#!/usr/bin/env python3
"""Works out what is told of each piece on the maker's table from what a plan lays on its sheets.

    handout_numbers.py DIR              DIR holds plan.json
    handout_numbers.py --self-test DIR  damages that entry in memory, once for each kind, and fails if a damage passes

The paths of each piece's first placement are turned back into its own frame. From those alone come its size, which face is scored, where
each score lies from which edge, from where to where, and which way it folds; from the sheets' runs, how many there are. Compared with the
`handout` entry as numbers and as printed text. Exit code 0 if all agree, 1 if not, with the piece named.
"""

import copy
import json
import math
import re
import sys
from fractions import Fraction
from pathlib import Path

import shapely
from shapely import affinity
from shapely.geometry import LineString, Polygon, box
from svgelements import Line, Move, Close
from svgelements import Path as SvgPath

NEAR_MM = 0.002  # plan.json's paths have six decimals; curves are measured at steps
ALONG_AXIS_MM = 0.01  # a crease as slanted as that is still made at a fence
LEFT_OUT_MM = 0.1
STEPS_MM = {"in": Fraction(254, 160), "mm": Fraction(1, 2)}  # a rule of sixteenths, or of half millimetres
UNITS_MM = {"in": Fraction(254, 10), "mm": Fraction(1)}
FLIPPED = {"mountain": "valley", "valley": "mountain"}


class Mismatch(Exception):
    """The entry does not say what the sheets hold."""


def need(is_so, *words):
    if not is_so:
        raise Mismatch(" ".join(str(word) for word in words))


def typed(text):
    """`2 1/4 in`, `0.5 in` or `12.5 mm` in millimetres, exactly."""
    found = re.fullmatch(r"(-?)(?:(\d+(?:\.\d+)?)(?: (?=\d+/)|(?= [im])))?(?:(\d+)/(\d+))? (in|mm)", text)
    need(found, "no length:", text)
    sign, whole, above, below, unit = found.groups()
    need(whole or above, "no length:", text)
    value = Fraction(whole or 0) + (Fraction(int(above), int(below)) if above else 0)
    return (-value if sign else value) * UNITS_MM[unit]


def shown(length, what):
    """A length's number; its text must say the same, as finely as it is printed."""
    unit = length["text"].split()[-1]
    finest = 0.00006 * 25.4 if unit == "in" else 0.0006
    need(abs(float(typed(length["text"])) - length["mm"]) <= finest, what, "is printed as", length["text"], "for", length["mm"])
    return length["mm"]


def back(place):
    """From the sheet to the piece's own frame, up to a shift, as shapely writes maps."""
    sin, cos = math.sin(math.radians(place["turn_deg"])), math.cos(math.radians(place["turn_deg"]))
    flip = -1 if place["face_down"] else 1
    return [cos * flip, sin * flip, -sin, cos, 0, 0]


def polylines(data, fine=64):
    """Subpaths as lists of points, with whether each has straight sides only."""
    lines, straight = [], []
    for segment in SvgPath(data):
        if isinstance(segment, Move):
            lines.append([segment.end])
            straight.append(True)
        elif isinstance(segment, (Line, Close)):
            lines[-1].append(segment.end)
        else:
            straight[-1] = False
            lines[-1] += [segment.point(i / fine) for i in range(1, fine + 1)]
    return [([(p.x, p.y) for p in line if p is not None], s) for line, s in zip(lines, straight)]


class Seen:
    """A piece as its scored face shows it, its box at the origin."""

    def __init__(self, place, face):
        rings = [ring for ring, _ in polylines(place["path"])]
        whole = Polygon(max(rings, key=lambda ring: Polygon(ring).area))
        for ring in rings:
            if Polygon(ring).area < whole.area - 1e-9:
                whole = whole.difference(Polygon(ring))
        matrix = back(place)
        if face == "back":
            matrix = [-matrix[0], -matrix[1], matrix[2], matrix[3], 0, 0]
        outline = affinity.affine_transform(whole, matrix)
        x0, y0, x1, y1 = outline.bounds
        self.matrix = [*matrix[:4], -x0, -y0]
        self.outline = affinity.affine_transform(whole, self.matrix)
        self.size = (x1 - x0, y1 - y0)
        sheet_shows = place["face_down"] != (face == "back")
        self.creases, self.cuts = {}, []
        for operation in place["operations"]:
            name = operation["id"].removeprefix(place["id"] + ".")
            if operation["kind"] == "crease":
                fold = FLIPPED[operation["fold"]] if sheet_shows else operation["fold"]
                self.creases[name] = (self.stretches(operation["path"]), fold)
            elif operation["kind"] in ("cut", "hole") and not name.startswith(("outline", "inside-")):
                self.cuts += [stretch for stretch in self.sides(operation["path"]) if stretch]

    def sides(self, data):
        for line, straight in polylines(data):
            points = affinity.affine_transform(LineString(line), self.matrix).coords
            for (ax, ay), (bx, by) in zip(points, points[1:]):
                if straight and abs(ax - bx) <= ALONG_AXIS_MM < abs(ay - by):
                    yield "x", (ax + bx) / 2, min(ay, by), max(ay, by)
                elif straight and abs(ay - by) <= ALONG_AXIS_MM < abs(ax - bx):
                    yield "y", (ay + by) / 2, min(ax, bx), max(ax, bx)
                else:
                    yield None

    def stretches(self, data):
        """A crease's straight stretches along the box's edges; None where any of it is not."""
        found = list(self.sides(data))
        return None if None in found else found

    def holds(self, edge):
        """Whether enough of an edge of the box is paper's own straight edge to lie at a fence."""
        w, h = self.size
        thin = ALONG_AXIS_MM
        strip = {"left": box(-1, -1, thin, h + 1), "right": box(w - thin, -1, w + 1, h + 1),
                 "top": box(-1, -1, w + 1, thin), "bottom": box(-1, h - thin, w + 1, h + 1)}[edge]
        on_edge = shapely.intersection(shapely.LineString(self.outline.exterior.coords), strip).length
        return on_edge + 3 * thin >= min(10, (h if edge in ("left", "right") else w) / 2)

    def paper(self, axis, at):
        """Stretches of a line with paper on both sides, without those that are cut."""
        low, high = -1, max(self.size) + 1

        def on(off):
            ends = [(at + off, low), (at + off, high)] if axis == "x" else [(low, at + off), (high, at + off)]
            inside = self.outline.intersection(LineString(ends))
            parts = getattr(inside, "geoms", [inside])
            places = [sorted(p[1 if axis == "x" else 0] for p in part.coords) for part in parts if part.length > 0]
            return shapely.union_all([LineString([(a[0], 0), (a[-1], 0)]) for a in places]) if places else LineString()

        both = on(-0.001).intersection(on(0.001))
        for cut_axis, cut_at, a, b in self.cuts:
            if cut_axis == axis and abs(cut_at - at) <= ALONG_AXIS_MM:
                both = both.difference(LineString([(a, 0), (b, 0)]))
        return both


def check_size(entry, seen):
    size = [shown(side, "a side") for side in entry["size"]]
    cut = [shown(side, "a rough side") for side in entry.get("rough", entry["size"])]
    for told, is_wide, laid in zip(cut, size, seen.size):
        need(abs(told - laid) <= NEAR_MM, "is told as", told, "mm, but laid as", laid)
        need(is_wide <= told + NEAR_MM, "is larger than what it is cut from")
    is_trimmed = entry.get("layer", {}).get("trim_flush", False)
    return cut if is_trimmed else size


def check_scores(entry, seen, size, offsets):
    """Each crease by its own place; the lists' order; sums."""
    need([s["number"] for s in entry["scores"]] == list(range(1, len(entry["scores"]) + 1)), "scores are not numbered in order")
    told, places = set(), []
    for score in entry["scores"]:
        axis = "x" if score["fence"] in ("left", "right") else "y"
        across = size[axis == "y"]
        at, unit = shown(score["at"], "a score"), score["at"]["text"].split()[-1]
        need((Fraction(round(at * 10**6), 10**6) / STEPS_MM[unit]).denominator == 1, "score", score["number"], "is on no step of the rule")
        need(abs(score["off_mm"]) <= float(STEPS_MM[unit]) / 2 + 1e-6, "score", score["number"], "is rounded by more than half a step")
        true = at + score["off_mm"]
        laid = true if score["fence"] in ("left", "top") else across - true
        laid += offsets[axis == "y"]
        runs = []
        for name in score["operations"]:
            stretches, fold = seen.creases[name]
            need(stretches, "score", score["number"], "names a crease that no fence guides")
            need(fold == score["fold"], "score", score["number"], "is a", fold)
            on = [s for s in stretches if s[0] == axis and abs(s[1] - laid) <= ALONG_AXIS_MM]
            need(on, "score", score["number"], "lies at", laid, "but its crease is elsewhere:", stretches)
            runs += on
            told.add((name, axis, round(on[0][1], 2)))
        check_span(score, seen, axis, laid, runs, STEPS_MM[unit], size[axis == "x"], offsets[axis == "x"])
        places.append((axis, at))
    for axis in "xy":
        check_sum([s for s, p in zip(entry["scores"], places) if p[0] == axis], entry, axis)
    need(places == sorted(places, key=lambda p: p[0]), "scores from the top come before those from the left")
    check_all_told(entry, seen, told)


def check_sum(scores, entry, axis):
    """Widths from edge to edge, by the printed text alone, add up to the size."""
    rough = entry["rough"] if entry.get("layer", {}).get("trim_flush") else entry["size"]
    ends = [Fraction(0), *(typed(s["at"]["text"]) for s in scores), typed(rough[axis == "y"]["text"])]
    need(ends == sorted(ends), "scores do not rise:", [float(e) for e in ends])
    need(sum(b - a for a, b in zip(ends, ends[1:])) == ends[-1], "widths do not add up")


def check_span(score, seen, axis, laid, runs, step, along, offset):
    covered = shapely.union_all([LineString([(a, 0), (b, 0)]) for _, _, a, b in runs])
    low, _, high, _ = covered.bounds
    paper = seen.paper(axis, laid)
    outside = paper.difference(box(low - 1e-6, -1, high + 1e-6, 1)).length
    within = paper.intersection(box(low, -1, high, 1)).length - covered.intersection(paper).length
    need(within <= len(runs) * LEFT_OUT_MM, "score", score["number"], "runs over", within, "mm without a crease")
    if "span" not in score:
        need(outside <= LEFT_OUT_MM, "score", score["number"], "runs from edge to edge, its crease does not")
        return
    need(outside > LEFT_OUT_MM, "score", score["number"], "ends before the edge, its crease does not")
    ends = [shown(end, "an end") for end in score["span"]]
    for end, true in zip(ends, (low - offset, high - offset)):
        need(abs(end - true) <= float(step) / 2 + NEAR_MM, "score", score["number"], "ends at", end, "its crease at", true)


def check_all_told(entry, seen, told):
    """Every crease that a fence can guide is a score, and no other."""
    held = {"x": seen.holds("left") or seen.holds("right"), "y": seen.holds("top") or seen.holds("bottom")}
    by_fence = True
    for name, (stretches, _) in seen.creases.items():
        if stretches is None:
            by_fence = False
            continue
        for axis, at, _, _ in stretches:
            is_told = any(n == name and a == axis and abs(p - at) <= 0.02 for n, a, p in told)
            need(is_told == held[axis], name, "is told" if is_told else "is not told")
            by_fence &= held[axis]
    need(by_fence == entry["by_fence"], "is said to be scored", "by" if entry["by_fence"] else "without", "a fence")


def check_layer(entry, entries):
    layer = entry.get("layer")
    if not layer or layer.get("panel"):
        return
    below = [shown(side, "a side") for side in entries[layer["on"]]["size"]]
    top, right, bottom, left = (shown(side, "what shows") for side in layer["shows"])
    w, h = (side["mm"] for side in entry["size"])
    sums = {(round(left + w + right, 3), round(top + h + bottom, 3)), (round(left + h + right, 3), round(top + w + bottom, 3))}
    need((round(below[0], 3), round(below[1], 3)) in sums, "and what shows around it do not add up to", below)


def check_count(entry, plan):
    """What is laid on all sheets: what is wanted less what is there already, and the spares that found room."""
    need(entry["wanted"] == entry["per_copy"] * plan["copies"], "is wanted", entry["wanted"], "times")
    laid = sum(sheet["runs"] for sheet in plan["sheets"] for place in sheet["placements"] if place["piece"] == entry["piece"])
    spares = sum(s["placed"] for s in plan["spares"] if s["piece"] == entry["piece"])
    missing = sum(u["count"] for u in plan["unplaced"] if u["piece"] == entry["piece"])
    made = laid - spares + missing
    need(made == entry["wanted"] - entry["have"], "is laid", made, "times; wanted", entry["wanted"], "there", entry["have"])


def scored_face(place):
    """The face from which most creases are mountains, the front where it does not matter."""
    folds = [o["fold"] for o in place["operations"] if o["kind"] == "crease"]
    front = [FLIPPED[f] if place["face_down"] else f for f in folds]
    return "back" if front.count("valley") > front.count("mountain") else "front"


def offsets_of(entry, seen, size):
    """Where a finished box lies in what it is punched from; not in the plan, so its creases tell, and all must agree."""
    if "rough" not in entry or entry.get("layer", {}).get("trim_flush"):
        return (0, 0)
    found = [0, 0]
    for score in entry["scores"]:
        axis = "x" if score["fence"] in ("left", "right") else "y"
        at = score["at"]["mm"] + score["off_mm"]
        at = at if score["fence"] in ("left", "top") else size[axis == "y"] - at
        stretches, _ = seen.creases[score["operations"][0]]
        found[axis == "y"] = next(s[1] for s in stretches if s[0] == axis) - at
    return tuple(found)


def check(plan):
    entries = {entry["piece"]: entry for entry in plan["handout"]["pieces"]}
    scores = 0
    for name, entry in entries.items():
        try:
            check_count(entry, plan)
            check_layer(entry, entries)
            places = (p for sheet in plan["sheets"] for p in sheet["placements"] if p["piece"] == name)
            place = next(places, None)
            if place is None:
                continue
            need(entry["scored_face"] == scored_face(place), "is scored on its", entry["scored_face"])
            seen = Seen(place, entry["scored_face"])
            size = check_size(entry, seen)
            check_scores(entry, seen, size, offsets_of(entry, seen, size))
            scores += len(entry["scores"])
        except Mismatch as mismatch:
            raise Mismatch(f"{name} {mismatch}") from None
    return len(entries), scores


def damages(plan):
    """One plan for each kind of damage that can be done to this entry."""

    laid = {place["piece"] for sheet in plan["sheets"] for place in sheet["placements"]}

    def one(is_meant, change):
        damaged = copy.deepcopy(plan)
        for entry in damaged["handout"]["pieces"]:
            if entry["piece"] in laid and is_meant(entry):
                change(entry)
                return damaged
        return None

    def scored(entry):
        return entry["scores"]

    def shift(length, mm):
        unit = length["text"].split()[-1]
        length["mm"] += mm
        length["text"] = f"{length['mm'] / float(UNITS_MM[unit]):.4f} {unit}"

    def swap_fold(entry):
        entry["scores"][0]["fold"] = FLIPPED[entry["scores"][0]["fold"]]

    yield "a piece 1 mm wider", one(lambda e: True, lambda e: shift(e["size"][0], 1))
    yield "a text that says another size", one(lambda e: True, lambda e: e["size"][0].update(text="1 mm"))
    yield "one piece more", one(lambda e: True, lambda e: e.update(wanted=e["wanted"] + 1))
    yield "one piece there already", one(lambda e: True, lambda e: e.update(have=e["have"] + 1))
    yield "a score half a millimetre off", one(scored, lambda e: shift(e["scores"][0]["at"], 0.5))
    yield "a score off the rule", one(scored, lambda e: (shift(e["scores"][0]["at"], 0.1), e["scores"][0].update(off_mm=e["scores"][0]["off_mm"] - 0.1)))
    yield "a score that folds the other way", one(scored, swap_fold)
    yield "a score from the other edge", one(scored, lambda e: e["scores"][0].update(fence={"left": "right", "right": "left", "top": "bottom", "bottom": "top"}[e["scores"][0]["fence"]]) if len(e["scores"]) > 1 else e["scores"].pop())
    yield "a score left out", one(scored, lambda e: e["scores"].pop())
    yield "the other face up", one(scored, lambda e: e.update(scored_face="back" if e["scored_face"] == "front" else "front"))
    yield "a score that ends early", one(scored, lambda e: e["scores"][0].update(span=[{"mm": 0.0, "text": "0 mm"}, {"mm": 5.0, "text": "5 mm"}]))
    yield "no fence", one(lambda e: True, lambda e: e.update(by_fence=not e["by_fence"]))
    yield "a layer that shows more", one(lambda e: e.get("layer") and not e["layer"].get("panel"), lambda e: shift(e["layer"]["shows"][1], 1))


def self_test(plan):
    for kind, damaged in damages(plan):
        if damaged is None:
            continue
        try:
            check(damaged)
        except Mismatch as mismatch:
            print(f"caught: {kind}: {mismatch}")
        else:
            sys.exit(f"not caught: {kind}")


def main():
    arguments = sys.argv[1:]
    is_test = arguments[:1] == ["--self-test"]
    plan = json.loads((Path(arguments[-1]) / "plan.json").read_text())
    try:
        pieces, scores = check(plan)
    except Mismatch as mismatch:
        sys.exit(f"{arguments[-1]}: {mismatch}")
    print(f"{pieces} pieces and {scores} scores as the sheets hold them")
    if is_test:
        self_test(plan)


if __name__ == "__main__":
    main()
