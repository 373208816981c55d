#!/usr/bin/env python3
"""Works out a project's pieces from its file alone and compares them with a plan.

    outlines.py PROJECT.toml DIR              DIR holds plan.json
    outlines.py --self-test PROJECT.toml DIR  damages that plan in memory, once for each kind, and fails if a damage passes

Checks outlines, operations, artwork, counts, turns, sheet edges, gaps and the marks' clear zones. Prints a line for each sheet;
exit code 0 if all is as the project asks, 1 if not, with the piece named.
"""

import copy
import json
import math
import re
import sys
import tomllib
from collections import Counter
from itertools import combinations
from pathlib import Path

import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, box

from pictures import UNIT_SQUARE, Artwork, declared, from_plan, place_deviation, places_deviation, product
from parts import pieces_of_parts
from pieces import SIDES, editions_of, mm, pair, path_lines, pieces_of

TOLERANCE_MM = 0.01  # what the tool promises
FLATTENING_MM = 0.005  # what the plan's outline_mm may add
QUIET_MM = 1.0  # white ring round a register mark
FORMATS = {"letter": "8.5 x 11 in", "a4": "210 x 297 mm", "legal": "8.5 x 14 in", "a5": "148 x 210 mm"}


class Mismatch(Exception):
    """The plan is not what the project asks for."""


def pose(place):
    """From the piece frame to the sheet: turned over left to right if face down, turned clockwise as seen, shifted."""
    sin, cos = math.sin(math.radians(place["turn_deg"])), math.cos(math.radians(place["turn_deg"]))
    flip = -1 if place["face_down"] else 1
    return [cos * flip, -sin, sin * flip, cos, place["x_mm"], place["y_mm"]]


def placed(geometry, place):
    return affinity.affine_transform(geometry, pose(place))


def deviation(one, other):
    """Hausdorff distance, with points at least every 0.5 mm."""
    return shapely.hausdorff_distance(shapely.segmentize(one, 0.5), shapely.segmentize(other, 0.5))


def perforation_deviation(cuts, line):
    """How far the cuts stray from the line, or stop short of its ends: they start and end with half a cut."""
    corners = [Point(corner) for cut in cuts.geoms for corner in cut.coords]
    ends = [Point(line.coords[0]), Point(line.coords[-1])]
    return max(*(corner.distance(line) for corner in corners), *(cuts.distance(end) for end in ends))


def held_deviation(cuts, ring, nicks):
    """How far the cuts from nick to nick stray from the ring, or leave more or less of it than the nicks."""
    count, length = nicks
    if len(cuts.geoms) != count:
        return math.inf
    stray = max(Point(corner).distance(ring) for cut in cuts.geoms for corner in cut.coords)
    ends = [Point(cut.coords[i]) for cut in cuts.geoms for i in (0, -1)]
    gaps = [min(end.distance(other) for other in ends if other is not end) for end in ends]
    # Straight from end to end a nick on a curve is a little shorter than along it.
    uneven = max(abs(gap - length) for gap in gaps) - length / 50
    return max(stray, abs(ring.length - cuts.length - count * length), uneven)


def require(condition, text):
    if not condition:
        raise Mismatch(text)


def check_operations(piece, place):
    """Largest deviation; pairs every expected operation with the nearest planned one of the same kind, fold and maker."""
    swap = {"mountain": "valley", "valley": "mountain", None: None}
    left, worst = list(place["operations"]), 0.0
    for number, (kind, fold, by, lines) in enumerate(piece.operations, 1):
        fold, lines = swap[fold] if place["face_down"] else fold, placed(lines, place)
        same = [o for o in left if (o["kind"], o.get("fold"), o["by"]) == (kind, fold, by)]
        require(same, f"{place['id']}: no {fold or ''} {kind} by {by} is left in the plan")
        is_held = piece.nicks and number == len(piece.operations)  # the cut of the outline comes last
        paths = [path_lines(o["path"]) for o in same]
        if is_held:
            distances = [held_deviation(path, lines, piece.nicks) for path in paths]
        else:
            measure = perforation_deviation if kind == "perforation" else deviation
            distances = [measure(path, lines) for path in paths]
        nearest = min(distances)
        require(nearest <= TOLERANCE_MM, f"{place['id']}: {kind} is off by {nearest:.4f} mm")
        left.remove(same[distances.index(nearest)])
        worst = max(worst, nearest)
    require(not left, f"{place['id']}: the plan has {len(left)} operations that the project has not")
    return worst


def require_under(name, found):
    """What lies under repeats is each of them, a twentieth of a millimetre larger on every side: its corners are off by that both ways."""
    under = found.get("under", [])
    require(len(under) in (0, len(found["places"])), f"{name} has {len(under)} repeats under {len(found['places'])}")
    for larger, own in zip(under, found["places"], strict=False):
        off = place_deviation(from_plan(larger), from_plan(own), False)
        require(abs(off - 0.05 * 2**0.5) <= TOLERANCE_MM, f"{name} has a repeat under it that is off by {off:.4f} mm")


def require_words(name, place, found, art):
    """Words are those of the copy's line, and stay in their box. How large letters are is for other checks."""
    require(found.get("words") == art.says(found.get("line")), f"{name} says {found.get('words')}, not {art.says(found.get('line'))}")
    room = placed(art.room, place).buffer(TOLERANCE_MM)
    drawn = [affinity.affine_transform(UNIT_SQUARE, from_plan(matrix)) for matrix in found["places"]]
    require(len(drawn) == 1 and room.covers(drawn[0]), f"{name} leaves its box")


def check_artwork(place, planned, wanted):
    """Largest deviation of the clips and pictures of one placed piece."""
    worst = 0.0
    require(len(planned) == len(wanted), f"{place['id']}: {len(planned)} layers of artwork planned, {len(wanted)} asked for")
    for number, (found, art) in enumerate(zip(planned, wanted, strict=True), 1):
        name = f"{place['id']}: artwork {number}"
        face = {"front": "back", "back": "front"}[art.face] if place["face_down"] else art.face
        require(found["face"] == face, f"{name} is on the {found['face']}")
        if art.text:
            require_words(name, place, found, art)
        else:
            require(found["file"] == art.file, f"{name} is {found['file']}, not {art.file}")
        clip = placed(art.clip, place)
        off = deviation(path_lines(found["clip"]), clip.boundary)
        if art.text:
            pass
        elif art.file:
            off = max(off, places_deviation(found["places"], product(pose(place), art.matrix), clip, art.repeats))
            require_under(name, found)
        else:
            require(found["colour"] == art.colour, f"{name} is {found['colour']}, not {art.colour}")
        require(off <= TOLERANCE_MM, f"{name} is off by {off:.4f} mm")
        worst = max(worst, off)
    return worst


def check_turn(piece, place, stock, paper):
    quarter = round(place["turn_deg"] / 90) % 4
    turns = piece.table.get("turns", "quarters")
    allowed = {"none": {0}, "half": {0, 2}}.get(turns, {0, 1, 2, 3})
    require(turns == "any" or quarter in allowed and place["turn_deg"] % 90 == 0, f"{place['id']}: this turn is not allowed")
    face = stock.get("face_" + piece.table.get("shows", "a"), "plain")
    if isinstance(face, dict) and face["reads"] != "free" and piece.table.get("pattern_up", "top") != "any":
        off = (SIDES.index(piece.table.get("pattern_up", "top")) + quarter - SIDES.index(face.get("up", "top"))) % 4
        require(off == 0 or face["reads"] == "stripe" and off == 2, f"{place['id']}: the pattern stands wrong")
    grain, wish = stock.get("grain", "none"), piece.table.get("grain", "any")
    if grain != "none" and wish != "any":
        upright = grain == "y" or (grain == "long") == (paper["height_mm"] > paper["width_mm"])
        require(upright == ((wish == "y") == (quarter % 2 == 0)), f"{place['id']}: the grain runs wrong")


def check_sheet(sheet, pieces, artwork, project):
    """Largest deviation on one sheet."""
    job, paper, areas, worst = project["job"], sheet["paper"], [], 0.0
    stock = next(s for s in project["stock"] if s["id"] == sheet["stock"])
    width, height = pair(FORMATS.get(stock["format"], stock["format"]))
    if stock.get("orientation") == "landscape":
        width, height = height, width
    require(math.dist((width, height), (paper["width_mm"], paper["height_mm"])) < 1e-6, f"{sheet['stock']}: wrong sheet size")
    for place in sheet["placements"]:
        piece = pieces[place["piece"]]
        area = placed(piece.area, place)
        ring = LineString([*place["outline_mm"], place["outline_mm"][0]])
        off = max(deviation(path_lines(place["path"]), area.boundary), deviation(ring, area.exterior) - FLATTENING_MM)
        require(off <= TOLERANCE_MM, f"{place['id']}: the outline is off by {off:.4f} mm")
        require(box(0, 0, width, height).buffer(1e-6).contains(area), f"{place['id']}: not inside the sheet")
        worst = max(worst, off, check_operations(piece, place))
        check_turn(piece, place, stock, paper)
        for mark in sheet["marks"]:
            clear = mark["diameter_mm"] / 2 + QUIET_MM + piece.bleed
            distance = area.distance(Point(mark["x_mm"], mark["y_mm"]))
            require(distance >= clear - 1e-6, f"{place['id']}: {distance:.3f} mm from mark {mark['id']}, needs {clear:.3f} mm")
        areas.append((place["id"], area))
    for run in sheet["prints"]:
        for place, content in zip(sheet["placements"], run["contents"], strict=True):
            wanted = artwork[place["piece"], content["edition"]]
            worst = max(worst, check_artwork(place, content["artwork"], wanted))
    check_gaps(areas, mm(job.get("gap", "3 mm" if job["cut_by"] == "machine" else "0 mm")))
    return worst


def check_gaps(areas, gap):
    """The tool moves flattened curves inwards for layers: two of them may each come nearer by that."""
    for (one, a), (other, b) in combinations(areas, 2):
        distance = a.distance(b)
        require(distance >= gap - 2 * FLATTENING_MM, f"{one} and {other} are {distance:.3f} mm apart, not {gap}")
        require(a.intersection(b).area < 1e-6, f"{one} and {other} overlap")


def check_counts(plan, pieces, project):
    """Every stock gives its pieces; where editions print different artwork, every edition gets its own; spares are counted."""
    wanted, wished, made = Counter(), Counter(), Counter()
    there = Counter({piece.id: piece.table.get("have", 0) for piece in pieces.values()})
    own_artwork = {swap["piece"] for edition in project.get("edition", []) for swap in edition.get("artwork", [])}
    for edition, copies, spares, swaps in editions_of(project):
        # What a pass of a die leaves besides serves copies of the same edition.
        left = Counter(there)
        for piece in pieces.values():
            passes = copies * piece.per_copy - there[piece.id]
            for also in piece.table.get("finish", {}).get("also", []):
                left[also["piece"]] += passes * also["count"]
        for piece in pieces.values():
            stock = swaps.get(piece.table["stock"], piece.table["stock"])
            key = edition if piece.id in own_artwork else "any", piece.id, stock
            served = min(left[piece.id], copies * piece.per_copy)
            there[piece.id] = max(there[piece.id] - served, 0)
            wanted[key] += copies * piece.per_copy - served
            wished[key] += spares * piece.per_copy
    for sheet in plan["sheets"]:
        times = sum(run["times"] for run in sheet["prints"])
        require(sheet["runs"] == times, f"{sheet['picture']}: {sheet['runs']} runs, its prints add up to {times}")
        for run in sheet["prints"]:
            for place, content in zip(sheet["placements"], run["contents"], strict=True):
                edition = content["edition"] if place["piece"] in own_artwork else "any"
                made[edition, place["piece"], sheet["stock"]] += run["times"]
    for key in sorted(wanted.keys() | made.keys()):
        edition, piece, stock = key
        asked = f"{made[key]} planned, {wanted[key]} asked for and {wished[key]} spares"
        is_right = wanted[key] <= made[key] <= wanted[key] + wished[key]
        require(is_right, f"{piece} on {stock}, edition {edition}: {asked}")
    told = {entry["piece"]: (entry["placed"], entry["wished"]) for entry in plan["spares"]}
    for piece in pieces:
        of_piece = [sum(count for key, count in counts.items() if key[1] == piece) for counts in (made, wanted, wished)]
        spares = of_piece[0] - of_piece[1], of_piece[2]
        require(told.get(piece, (0, 0)) == spares, f"{piece}: {spares} spares, the plan says {told.get(piece)}")


def check(project_file, plan, talk=print, sound=None):
    """`sound` is the plan before it was damaged: what a part's first pieces look like is taken from there."""
    project = tomllib.loads(project_file.read_text())
    pieces = pieces_of(project, project_file.parent) | pieces_of_parts(project, sound or plan)
    artwork = {
        (piece.id, edition.get("id", "")): [
            Artwork(table, piece, project_file.parent, project["job"]) for table in declared(piece, edition)
        ]
        for piece in pieces.values()
        for edition in project.get("edition", [{}])
    }
    check_counts(plan, pieces, project)
    worst, count = 0.0, 0
    for sheet in plan["sheets"]:
        off = check_sheet(sheet, pieces, artwork, project)
        talk(f"{sheet['picture']}: {len(sheet['placements'])} placements, {sheet['runs']} runs, largest deviation {off:.5f} mm")
        worst, count = max(worst, off), count + len(sheet["placements"])
    talk(f"ok: {count} placements, largest deviation {worst:.5f} mm")


def first_place(plan):
    return plan["sheets"][0]["placements"][0]


def first_operation(plan):
    """The first operation that is not the cut of an outline; a loose one where there is none."""
    places = [place for sheet in plan["sheets"] for place in sheet["placements"]]
    lines = (o for place in places for o in place["operations"] if o["kind"] != "cut")
    return next(lines, {"kind": "cut", "path": ""})


def nudge_path(thing):
    """Moves the first point of a path by 0.02 mm to the right and as much down, 0.028 mm in all."""
    thing["path"] = re.sub(r"-?[\d.]+", lambda number: f"{float(number[0]) + 0.02:.6f}", thing["path"], count=2)


def close_nicks(plan):
    """Cuts through what holds the first piece that is held."""
    places = [place for sheet in plan["sheets"] for place in sheet["placements"]]
    held = [(place, o) for place in places for o in place["operations"] if o.get("nicks")]
    for place, operation in held[:1]:
        operation["path"] = place["path"]


def turn_fold(plan):
    """Swaps mountain and valley; where nothing is folded, makes a drawn line of the operation."""
    operation = first_operation(plan)
    if "fold" in operation:
        operation["fold"] = "valley" if operation["fold"] == "mountain" else "mountain"
    else:
        operation["kind"] = "line"


def stack_pieces(plan):
    """Puts one piece exactly on another of its kind."""
    for sheet in plan["sheets"]:
        for one, other in combinations(sheet["placements"], 2):
            if one["piece"] == other["piece"]:
                other.update(copy.deepcopy({key: value for key, value in one.items() if key != "id"}))
                return


def artworks(plan):
    return [content["artwork"] for sheet in plan["sheets"] for run in sheet["prints"] for content in run["contents"]]


def drop_artwork(plan):
    for artwork in artworks(plan):
        artwork[:] = artwork[1:]


def move_picture(plan):
    for place in (place for artwork in artworks(plan) for layer in artwork for place in layer["places"]):
        place[4] += 0.02


def mark_on_piece(plan):
    x_mm, y_mm = first_place(plan)["outline_mm"][0]
    plan["sheets"][0]["marks"].append({"id": "m9", "x_mm": x_mm, "y_mm": y_mm, "diameter_mm": 6.0})


def widen_sheet(plan):
    plan["sheets"][0]["paper"]["width_mm"] += 1


def one_more(plan):
    plan["sheets"][0]["prints"][0]["times"] += 1
    plan["sheets"][0]["runs"] += 1


DAMAGES = {
    "a piece 0.02 mm to the right": lambda plan: first_place(plan).update(x_mm=first_place(plan)["x_mm"] + 0.02),
    "a piece 0.02 mm down": lambda plan: first_place(plan).update(y_mm=first_place(plan)["y_mm"] + 0.02),
    "a piece upside down": lambda plan: first_place(plan).update(turn_deg=first_place(plan)["turn_deg"] + 180),
    "a piece face down": lambda plan: first_place(plan).update(face_down=True),
    "a point of an outline moved by 0.028 mm": lambda plan: nudge_path(first_place(plan)),
    "a point of an operation moved by 0.028 mm": lambda plan: nudge_path(first_operation(plan)),
    "an operation of another kind": turn_fold,
    "a nick cut through": close_nicks,
    "an operation dropped": lambda plan: first_place(plan)["operations"].pop(0),
    "a picture or colour dropped": drop_artwork,
    "a picture 0.02 mm to the right": move_picture,
    "a piece on another": stack_pieces,
    "a piece on a register mark": mark_on_piece,
    "a sheet cut once too often": one_more,
    "a spare told that is not there": lambda plan: [s.update(placed=s["placed"] + 1) for s in plan["spares"]],
    "a sheet dropped": lambda plan: plan["sheets"].pop(),
    "a sheet 1 mm wider": widen_sheet,
}


def self_test(project_file, plan):
    check(project_file, plan, talk=lambda text: None)
    for name, damage in DAMAGES.items():
        damaged = copy.deepcopy(plan)
        damage(damaged)
        if damaged == plan:
            print(f"not done: {name}: there is nothing of the kind")
            continue
        try:
            check(project_file, damaged, talk=lambda text: None, sound=plan)
        except Mismatch as found:
            print(f"caught: {name}: {found}")
        else:
            raise Mismatch(f"not caught: {name}")
    print("ok: every damage caught")


def main():
    arguments = [a for a in sys.argv[1:] if a != "--self-test"]
    if len(arguments) != 2:
        sys.exit(__doc__)
    project_file, plan = Path(arguments[0]), json.loads((Path(arguments[1]) / "plan.json").read_text())
    try:
        (self_test if "--self-test" in sys.argv else check)(project_file, plan)
    except Mismatch as found:
        sys.exit(f"failed: {found}")


if __name__ == "__main__":
    main()
