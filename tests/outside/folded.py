"""Folds nets again and compares every panel's corners in space.

What a net is parted into is worked out with shapely (polygonize), how it is folded with scipy's Rotation; nothing is shared with the
crate. A net is given by its outline, its creases with their angles (above zero: a mountain seen from the front) and a point of each panel.
Frames: a piece has x to the right, y down and z away from whoever looks at its front. Papers have no thickness here.

    folded.py NETS.json             compares
    folded.py --self-test NETS.json turns one crease of each net by a degree more, and has to find that
"""

import json
import sys

import numpy as np
from scipy.spatial.transform import Rotation
from shapely import LineString, Point, Polygon, set_precision
from shapely.ops import polygonize, unary_union

TOLERANCE_MM = 0.001
GRID_MM = 1e-6


def parts(net):
    """The flat faces between the creases, without holes."""
    creases = [LineString([c["from"], c["to"]]) for c in net["creases"]]
    slits = [LineString(path) for path in net["slits"]]
    outline = Polygon(net["outline"][0], net["outline"][1:])
    lines = set_precision(unary_union([outline.boundary, *creases, *slits]), GRID_MM)
    return [face for face in polygonize(lines) if outline.contains(face.representative_point())]


def face_of(faces, point):
    """The face that holds a point."""
    held = [i for i, face in enumerate(faces) if face.contains(Point(point))]
    assert len(held) == 1, f"{len(held)} faces hold {point}"
    return held[0]


def crossings(faces, creases):
    """For each crease the pairs of faces that share a stretch of it."""
    found = []
    for crease in creases:
        line = LineString([crease["from"], crease["to"]]).buffer(1e-4)
        beside = [i for i, face in enumerate(faces) if face.boundary.intersection(line).length > 0.01]
        for a in beside:
            for b in beside:
                # Beside a crease two faces may also share a slit.
                shared = faces[a].intersection(faces[b]).intersection(line)
                if a < b and shared.length > 0.01:
                    found.append((a, b, crease))
    return found


def turn(crease, away_from):
    """The turn about a crease that brings what lies across it to the side of growing z, for a mountain."""
    start, end = (np.array([*crease[k], 0.0]) for k in ("from", "to"))
    axis = (end - start) / np.linalg.norm(end - start)
    staying = np.array([away_from.x, away_from.y, 0.0]) - start
    # The face that turns lies opposite; about `axis` it must go to +z.
    if np.cross(axis, -staying)[2] < 0:
        axis = -axis
    rotation = Rotation.from_rotvec(np.radians(crease["deg"]) * axis).as_matrix()
    return rotation, start - rotation @ start


def folded(net):
    """Matrix and shift of every face, outwards from the root."""
    faces = parts(net)
    joints = crossings(faces, net["creases"])
    root = face_of(faces, net["root"])
    places = {root: (np.array(net["pose"]["turn"]), np.array(net["pose"]["shift"]))}
    waiting = [root]
    while waiting:
        here = waiting.pop(0)
        for a, b, crease in joints:
            there = {a: b, b: a}.get(here)
            if there is None or there in places:
                continue
            matrix, shift = turn(crease, near(faces[here], crease))
            outer, origin = places[here]
            places[there] = (outer @ matrix, outer @ shift + origin)
            waiting.append(there)
    return faces, places


def near(face, crease):
    """A point of the face close beside the crease, which may lie on either side of a long crease's line elsewhere."""
    strip = LineString([crease["from"], crease["to"]]).buffer(0.05, cap_style="flat")
    return face.intersection(strip).representative_point()


def worst_mm(net):
    """The largest distance between a corner here and there."""
    faces, places = folded(net)
    worst = 0.0
    for panel in net["panels"]:
        matrix, shift = places[face_of(faces, panel["inside"])]
        flat = np.array([[x, y, 0.0] for x, y in panel["flat"]])
        here = flat @ matrix.T + shift
        worst = max(worst, np.abs(here - np.array(panel["folded"])).max())
        boundary = faces[face_of(faces, panel["inside"])].boundary
        worst = max(worst, max(boundary.distance(Point(p)) for p in panel["flat"]))
    return worst


def main():
    is_self_test = sys.argv[1] == "--self-test"
    nets = json.load(open(sys.argv[-1], encoding="utf-8"))
    for net in nets:
        if is_self_test:
            net["creases"][0]["deg"] += 1.0
        off = worst_mm(net)
        if (off <= TOLERANCE_MM) == is_self_test:
            sys.exit(f"{net['name']}: a corner is {off:.6f} mm off")
    kinds = sorted({net["kind"] for net in nets})
    print(f"{len(nets)} nets of {len(kinds)} constructions: {', '.join(kinds)}")


main()
