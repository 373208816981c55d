"""Judges solutions of benchmark instances, with a geometry library and in f64, sharing nothing with the engines.

    judge.py SOLUTIONS INSTANCE-FOLDER...     a folder of solutions, or one
    judge.py --self-test SOLUTIONS INSTANCE-FOLDER...   damages each solution and wants every damage found

Distances, edges, turns, mirroring, counts and stock are checked, and layouts for a trimmer are taken apart again by cuts from edge
to edge. Every violation is a line; the last line counts them.
"""

import copy
import json
import math
import pathlib
import sys

import shapely
from shapely.affinity import affine_transform

# What distances and edges may be off, in the instance's unit.
TOLERANCE = 0.01


def polygon(outline, holes):
    return shapely.Polygon(outline, holes)


def sheets_of(instance):
    """Outline and stock of each kind of sheet."""
    if "sheet" in instance:
        width, height = instance["sheet"]["w"], instance["sheet"]["h"]
        return [(shapely.box(0, 0, width, height), None)]
    return [(polygon(s["outline"], s["holes"]), s["stock"]) for s in instance["sheets"]]


class Item:
    """What an instance says of one kind of item."""

    def __init__(self, data, turning):
        self.wanted = data["qty"]
        self.may_mirror = data.get("mirror", False)
        if "w" in data:
            self.outline = shapely.box(0, 0, data["w"], data["h"])
            self.turns = [0, 90, 180, 270] if data.get("rotate", turning) else [0, 180]
        else:
            self.outline = polygon(data["outline"], data["holes"])
            self.turns = None if data["rotations"] == "any" else data["rotations"]

    def may_turn(self, turn_deg):
        if self.turns is None:
            return True
        return any(abs((turn_deg - turn + 180) % 360 - 180) < 1e-9 for turn in self.turns)

    def placed(self, place):
        """The outline where it lies: mirrored, turned from x towards y, shifted."""
        angle = math.radians(place["turn_deg"])
        # Quarter turns are exact, as they are for the paper.
        quarters, rest = divmod(place["turn_deg"], 90)
        cos, sin = [(1, 0), (0, 1), (-1, 0), (0, -1)][int(quarters) % 4] if rest == 0 else (math.cos(angle), math.sin(angle))
        flip = -1 if place["mirrored"] else 1
        return affine_transform(self.outline, [cos * flip, -sin, sin * flip, cos, place["x"], place["y"]])


def judge(instance, solution):
    """One line for each violation."""
    turning = solution["turning"]
    items = {data["id"]: Item(data, turning) for data in instance["items"]}
    sheets = sheets_of(instance)
    found = counts(instance, items, solution) + stock(sheets, solution)
    for number, filled in enumerate(solution["sheets"], 1):
        where = f"sheet {number}"
        outlines = []
        for place in filled["places"]:
            item = items[place["item"]]
            if not item.may_turn(place["turn_deg"]):
                found.append(f"{where}: {place['item']} is turned by {place['turn_deg']}")
            if place["mirrored"] and not item.may_mirror:
                found.append(f"{where}: {place['item']} is mirrored")
            outlines.append(item.placed(place))
        names = [place["item"] for place in filled["places"]]
        found += [f"{where}: {line}" for line in edges(names, outlines, sheets[filled["sheet"]][0])]
        found += [f"{where}: {line}" for line in distances(names, outlines, instance["gap"])]
        if solution["edge_to_edge"]:
            boxes = [outline.bounds for outline in outlines]
            if not comes_apart(boxes):
                found.append(f"{where}: does not come apart by cuts from edge to edge")
    return found


def counts(instance, items, solution):
    placed = dict.fromkeys(items, 0)
    for filled in solution["sheets"]:
        for place in filled["places"]:
            placed[place["item"]] += filled["runs"]
    found = []
    for data, left in zip(instance["items"], solution["leftovers"], strict=True):
        wanted, there = data["qty"], placed[data["id"]]
        if there + left != wanted:
            found.append(f"{data['id']}: {there} placed and {left} left over, {wanted} wanted")
    return found


def stock(sheets, solution):
    used = [0] * len(sheets)
    for filled in solution["sheets"]:
        used[filled["sheet"]] += filled["runs"]
    return [
        f"{n} sheets of kind {kind}, there are {there}"
        for kind, (n, (_, there)) in enumerate(zip(used, sheets))
        if there is not None and n > there
    ]


def edges(names, outlines, sheet):
    room = sheet.buffer(TOLERANCE, join_style="mitre")
    shapely.prepare(room)
    return [f"{name} sticks out" for name, outline in zip(names, outlines) if not room.covers(outline)]


def distances(names, outlines, gap):
    """Outlines may be nearer than the gap by the tolerance: without a gap, lie over each other by as much."""
    least = gap - TOLERANCE
    if least < 0:
        outlines = [outline.buffer(least / 2, join_style="mitre") for outline in outlines]
    tree = shapely.STRtree(outlines)
    reach = max(least, 0)
    found = []
    for first, second in zip(*tree.query(outlines, predicate="dwithin", distance=reach)):
        if first < second:
            apart = outlines[first].distance(outlines[second])
            if apart < least or (least < 0 and outlines[first].intersects(outlines[second])):
                found.append(f"{names[first]} and {names[second]} are {apart:.4f} apart, {gap} wanted")
    return found


def comes_apart(boxes):
    """Whether boxes can be parted by cuts from edge to edge. Any cut that parts them may be made first: what can be cut at all can
    still be cut afterwards."""
    if len(boxes) < 2:
        return True
    for low, high in ((0, 2), (1, 3)):
        order = sorted(boxes, key=lambda box: box[low])
        reached = order[0][high]
        for count in range(1, len(order)):
            if reached <= order[count][low] + TOLERANCE:
                return comes_apart(order[:count]) and comes_apart(order[count:])
            reached = max(reached, order[count][high])
    return False


def damages(instance, solution):
    """The same solution with one thing wrong, and what is wrong. Each must be found."""
    for number, filled in enumerate(solution["sheets"]):
        if filled["places"]:
            break
    else:
        return
    def damaged(change):
        copied = copy.deepcopy(solution)
        change(copied["sheets"][number])
        return copied
    first = filled["places"][0]
    yield "a piece is lost", damaged(lambda s: s["places"].pop(0))
    yield "a piece lies on another", damaged(lambda s: s["places"].append(dict(first)))
    yield "a sheet too many", damaged(lambda s: s.update(runs=s["runs"] + 1))
    yield "a piece sticks out", damaged(lambda s: s["places"][0].update(x=-1e6))
    items = {data["id"]: Item(data, solution["turning"]) for data in instance["items"]}
    if items[first["item"]].turns is not None:
        yield "a piece is turned", damaged(lambda s: s["places"][0].update(turn_deg=first["turn_deg"] + 1))
    if not items[first["item"]].may_mirror:
        yield "a piece is mirrored", damaged(lambda s: s["places"][0].update(mirrored=True))


def self_test(instance, solution):
    found = [f"not found: {what}" for what, damaged in damages(instance, solution) if not judge(instance, damaged)]
    # A pinwheel of four around a square is the least that does not come apart.
    pinwheel = [(0, 0, 2, 1), (2, 0, 3, 2), (1, 2, 3, 3), (0, 1, 1, 3), (1, 1, 2, 2)]
    if comes_apart(pinwheel) or not comes_apart(pinwheel[:3]):
        found.append("a pinwheel is taken to come apart")
    return found


def files(path):
    path = pathlib.Path(path)
    return sorted(path.glob("*.json")) if path.is_dir() else [path]


def main():
    arguments = sys.argv[1:]
    is_test = arguments[:1] == ["--self-test"]
    solutions, *folders = arguments[is_test:]
    instances = {file.stem: file for folder in folders for file in files(folder)}
    violations = judged = 0
    for file in files(solutions):
        solution = json.loads(file.read_text())
        instance = json.loads(instances[solution["instance"]].read_text())
        found = (self_test if is_test else judge)(instance, solution)
        for line in found:
            print(f"{solution['instance']}: {line}")
        violations += len(found)
        judged += 1
    print(f"{judged} solutions, {violations} violations")
    return 1 if violations else 0


if __name__ == "__main__":
    sys.exit(main())
