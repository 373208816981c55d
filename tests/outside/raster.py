#!/usr/bin/env python3
"""Measures a made folder in pixels: print.pdf and the cut files, drawn by other programs, against plan.json.

    raster.py DIR              one line a file and program; exit code 1 if anything is off by more than 0.02 mm
    raster.py --self-test DIR  besides, the same with the plan moved by 0.03 mm, which has to be seen everywhere

print.pdf goes through poppler (cairo) and mupdf at 600 dots an inch, at 1200 where patterns lie under clips, whose edges both draw bolder
or on whole pixels, by up to one of them, whatever its size. The cut files go through resvg and Chromium at 576. On each
sheet's printed pages: the centres of the register marks, crop and crease ticks, and edges of flat colour. In cut files: every
operation.
"""

import copy
import json
import sys
from functools import partial
from pathlib import Path

import numpy as np
import shapely
from pieces import path_lines
from pixels import PAGE_DPI, chromium, edge_offsets, line_offsets, mupdf, poppler, resvg, ring_centre
from shapely import affinity
from shapely.geometry import LineString

LIMIT_MM = 0.02
RING_INNER = 0.72  # inner radius of a mark's ring over its outer one
STEP_MM = 0.5  # between two measured places of a line


def mapped(matrix, geometry):
    """A plan's matrix [a, b, c, d, e, f] on a geometry."""
    a, b, c, d, e, f = matrix
    return affinity.affine_transform(geometry, [a, c, b, d, e, f])


def places_on(lines, step_mm=STEP_MM, bend_mm=0.3, bend_limit_deg=30):
    """Points on lines and the normals to their left, away from ends and corners."""
    points, normals = [], []
    for line in lines.geoms if hasattr(lines, "geoms") else [lines]:
        count = max(int((line.length - 2 * bend_mm) / step_mm), 1)
        along = np.linspace(bend_mm, max(line.length - bend_mm, bend_mm), count + 1)
        before, here, after = (
            shapely.get_coordinates(shapely.line_interpolate_point(line, along + shift)) for shift in (-bend_mm, 0, bend_mm)
        )
        back, ahead = here - before, after - here
        lengths = np.linalg.norm(back, axis=1) * np.linalg.norm(ahead, axis=1)
        straight = (back * ahead).sum(axis=1) >= np.cos(np.radians(bend_limit_deg)) * np.maximum(lengths, 1e-12)
        tangents = (after - before)[straight]
        tangents /= np.linalg.norm(tangents, axis=1, keepdims=True)
        points.append(here[straight])
        normals.append(np.stack([tangents[:, 1], -tangents[:, 0]], axis=1))
    return np.concatenate(points), np.concatenate(normals)


class Findings:
    """Deviations by what was measured."""

    def __init__(self):
        self.worst, self.count, self.missing = {}, {}, []

    def add(self, what, offset_mm):
        self.worst[what] = max(self.worst.get(what, 0.0), float(offset_mm))
        self.count[what] = self.count.get(what, 0) + 1

    def line(self):
        parts = [f"{self.count[what]} {what} {self.worst[what]:.4f}" for what in self.worst]
        return ", ".join(parts) + " mm" + "".join(f"; NOT MEASURED: {what}" for what in self.missing)

    def largest(self):
        return max(self.worst.values(), default=0.0) if not self.missing else float("inf")


def typical(offsets_mm):
    """The middle of the deviations along one line or edge: what is uneven there is the picture's, not the place's."""
    return abs(np.median(offsets_mm))


def measure_marks(sheet, face, raster, found):
    matrix = sheet[face]["page_from_sheet"]
    for mark in (m for m in sheet["marks"] if m["face"] == face):
        centre = np.array(mapped(matrix, shapely.Point(mark["x_mm"], mark["y_mm"])).coords[0])
        radius = mark["diameter_mm"] / 2
        seen = ring_centre(raster, centre, radius * (1 + RING_INNER) / 2, radius)
        if seen is None:
            found.missing.append(f"mark {mark['id']}")
        else:
            found.add("marks", np.linalg.norm(seen - centre))


def measure_ticks(sheet, face, raster, found):
    for kind in ("crop", "crease"):
        ticks = [t for t in sheet["ticks"] if t["face"] == face and t["kind"] == kind]
        for tick in ticks:
            line = mapped(sheet[face]["page_from_sheet"], LineString([tick["from_mm"], tick["to_mm"]]))
            offsets = line_offsets(raster, *places_on(line, step_mm=0.1))
            if len(offsets) >= 5:
                found.add(f"{kind} ticks", typical(offsets))
        if ticks and f"{kind} ticks" not in found.count:
            found.missing.append(f"{kind} ticks")


def measure_artwork(sheet, contents, face, raster, found):
    """Straight and curved edges of the clip, where it parts two even colours."""
    art = [a for content in contents for a in content["artwork"] if a["face"] == face]
    for clip in sorted({a["clip"] for a in art}):
        for start, end in edges_of(mapped(sheet[face]["page_from_sheet"], path_lines(clip))):
            offsets = edge_offsets(raster, *places_on(LineString([start, end])))
            if len(offsets) >= 5:
                found.add("artwork edges", typical(offsets))
    if art and "artwork edges" not in found.count:
        found.missing.append("an artwork edge")


def edges_of(lines, least_mm=4.0):
    """Straight runs of at least this length."""
    for line in lines.geoms:
        corners = shapely.get_coordinates(line.simplify(1e-6))
        for start, end in zip(corners[:-1], corners[1:], strict=True):
            if np.linalg.norm(end - start) >= least_mm:
                yield start, end


def measure_page(number, face, plan, raster):
    sheet, found = plan["sheets"][number], Findings()
    measure_marks(sheet, face, raster, found)
    measure_ticks(sheet, face, raster, found)
    measure_artwork(sheet, sheet["prints"][0]["contents"], face, raster, found)
    return found


def measure_cut(number, plan, raster):
    sheet, found = plan["sheets"][number], Findings()
    operations = {o["id"]: o for place in sheet["placements"] for o in place["operations"]}
    for name in sheet["cut_order"]:
        lines = mapped(sheet["cut_from_sheet"], path_lines(operations[name]["path"]))
        offsets = line_offsets(raster, *places_on(lines))
        if len(offsets):
            found.add("operations", np.quantile(abs(offsets), 0.9))
        else:
            found.missing.append(name)
    return found


def dpi_for(sheet, face):
    """As fine as the layers of patterns need."""
    art = [a for content in sheet["prints"][0]["contents"] for a in content["artwork"] if a["face"] == face]
    return 2 * PAGE_DPI if any((a["file"] or "").startswith("pattern ") for a in art) else PAGE_DPI


def drawings(plan, folder):
    """(name, program that draws it, how it is measured) of every printed page and cut file; a shared cut file once."""
    cut_files = set()
    for number, sheet in enumerate(plan["sheets"]):
        for face in ("front", "back"):
            page = sheet["prints"][0][face]
            for program in (poppler, mupdf) if page else ():
                draw = partial(program, folder / "print.pdf", page, dpi_for(sheet, face))
                yield f"print.pdf page {page}, {program.__name__}", draw, partial(measure_page, number, face)
        if sheet["cut_file"] and sheet["cut_file"] not in cut_files:
            cut_files.add(sheet["cut_file"])
            for program in (resvg, chromium):
                draw = partial(program, folder / sheet["cut_file"], plan["cut_extent_mm"])
                yield f"{sheet['cut_file']}, {program.__name__}", draw, partial(measure_cut, number)


def moved(plan, by_mm=0.03):
    """The same plan with everything on every page and cut file somewhere else."""
    other = copy.deepcopy(plan)
    for sheet in other["sheets"]:
        faces = [sheet[face]["page_from_sheet"] for face in ("front", "back") if sheet[face]]
        for matrix in [*faces, *([sheet["cut_from_sheet"]] if sheet["cut_from_sheet"] else [])]:
            matrix[4] += by_mm
            matrix[5] += by_mm
    return other


def main():
    arguments = [a for a in sys.argv[1:] if a != "--self-test"]
    if len(arguments) != 1:
        sys.exit(__doc__)
    testing, folder = "--self-test" in sys.argv, Path(arguments[0])
    plan = json.loads((folder / "plan.json").read_text())
    worst, least = 0.0, float("inf")
    for name, draw, measure in drawings(plan, folder):
        raster = draw()
        found = measure(plan, raster)
        worst = max(worst, found.largest())
        print(f"{name}: {found.line()}", flush=True)
        if testing:
            found = measure(moved(plan), raster)
            least = min(least, *found.worst.values())
            print(f"{name}, plan moved: {found.line()}", flush=True)
    print(f"worst {worst:.4f} mm, limit {LIMIT_MM} mm")
    if testing:
        print(f"least with the plan moved by 0.03 mm: {least:.4f} mm")
    sys.exit(worst > LIMIT_MM or least <= LIMIT_MM)


if __name__ == "__main__":
    main()
