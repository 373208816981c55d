#!/usr/bin/env python3
"""Puts print.pdf beside the same pages written by general-purpose PDF libraries: time, bytes, and what the pages look like.

    pages.py [--sheets N] [--every N] [--ours PROGRAM]     needs tests/outside/requirements.txt; builds what it runs, unless PROGRAM is our bench

A hundred different sheets of 24 pieces, each a picture of 2,000 elements that is stored once. reportlab, pikepdf and pdf-writer get the
elements, clips, places and crop ticks as numbers in memory and write form objects, as we do; each packs its streams with zlib. Timed is,
for all alike, from there to the bytes of the file, in seconds of the processor: for us `draw::print_document` and `emit::pdf::write`, on a
plan that is made. The least of five runs counts. Pages are compared as poppler draws them at 100 dots an inch; --every 10
compares every tenth.
"""

import argparse
import io
import json
import math
import os
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pikepdf
import reportlab
from PIL import Image
from reportlab.pdfgen import canvas

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
RUNS, SIDE_MM, PIECES, ELEMENTS = 5, 30, 24, 2000
POINTS = 72 / 25.4
A4_MM = (210.0, 297.0)
TICK_MM = 0.1
MOST_TIMES, MOST_BYTES = 3, 1.5
COLOURS = ["#203a5c", "#b0432f", "#d9a21b", "#4d7a4a"]


def elements():
    """Leaves in the frame of the picture, 0 to 1000 both ways, y down: (colour, points of four cubic curves)."""
    chance = random.Random(7)
    for _ in range(ELEMENTS):
        x, y, size, turn = chance.uniform(0, 1000), chance.uniform(0, 1000), chance.uniform(6, 14), chance.uniform(0, math.tau)
        shape = [(-1, 0), (-0.6, 0.5), (-0.3, 0.6), (0, 0.5), (0.4, 0.4), (0.8, 0.2), (1, 0)]
        shape += [(0.8, -0.2), (0.4, -0.4), (0, -0.5), (-0.3, -0.6), (-0.6, -0.5), (-1, 0)]
        sin, cos = math.sin(turn), math.cos(turn)
        points = [(round(x + size * (u * cos - v * sin), 3), round(y + size * (u * sin + v * cos), 3)) for u, v in shape]
        yield chance.choice(COLOURS), points


def svg(shapes):
    paths = []
    for colour, (first, *rest) in shapes:
        curves = "".join("C" + " ".join(f"{x} {y}" for x, y in rest[i : i + 3]) for i in range(0, len(rest), 3))
        paths.append(f'<path fill="{colour}" d="M{first[0]} {first[1]}{curves}Z"/>')
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 1000">{"".join(paths)}</svg>'


def project(sheets):
    """A piece and a paper for every sheet, so that no two sheets are one."""
    text = 'sheetwright = 1\n[job]\nname = "Leaves"\ncopies = 1\ncut_by = "machine"\nbleed = "1 mm"\nmarks = "never"\ncaption = false\n'
    for n in range(sheets):
        text += f"""
[[stock]]
id = "s{n}"
format = "a4"
face_a = "printable"
[[piece]]
id = "p{n}"
stock = "s{n}"
per_copy = {PIECES}
shape = {{ kind = "rectangle", width = "{SIDE_MM - n * 0.01:.2f} mm", height = "{SIDE_MM} mm" }}
[[piece.artwork]]
file = "leaves.svg"
width = "{SIDE_MM + 2} mm"
"""
    return text


def pages_of(plan):
    """[(clip corners, matrix of the unit square)] of every page in points, y up, as they lie in the plan."""
    pages = {}
    for sheet in plan["sheets"]:
        for printed in sheet["prints"]:
            front = printed["front"]
            if front:
                art = [a for content in printed["contents"] for a in content["artwork"]]
                pieces = [(corners(a["clip"], A4_MM[1]), matrix(a["places"][0], A4_MM[1])) for a in art]
                ends = [(*tick["from_mm"], *tick["to_mm"]) for tick in sheet["ticks"]]
                ticks = [[v * POINTS if i % 2 == 0 else (A4_MM[1] - v) * POINTS for i, v in enumerate(end)] for end in ends]
                pages[front] = (pieces, ticks)
    return [pages[n] for n in sorted(pages)]


def corners(clip, high):
    numbers = [float(n) for n in clip.replace("M", " ").replace("L", " ").replace("Z", " ").replace(",", " ").split()]
    return [v for x, y in zip(numbers[::2], numbers[1::2]) for v in (x * POINTS, (high - y) * POINTS)]


def matrix(place, high):
    """From the picture's 0 to 1000, y down, to the page."""
    a, b, c, d, e, f = place
    return [a * POINTS / 1000, -b * POINTS / 1000, c * POINTS / 1000, -d * POINTS / 1000, e * POINTS, (high - f) * POINTS]


def rgb(colour):
    return tuple(int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5))


def with_reportlab(shapes, size, pages):
    with io.BytesIO() as file:
        page = canvas.Canvas(file, pagesize=size, pageCompression=1)
        page.beginForm("P", 0, 0, 1000, 1000)
        for colour, points in shapes:
            page.setFillColorRGB(*colour)
            path = page.beginPath()
            path.moveTo(*points[0])
            for i in range(1, len(points), 3):
                path.curveTo(*points[i], *points[i + 1], *points[i + 2])
            path.close()
            page.drawPath(path, stroke=0, fill=1)
        page.endForm()
        for pieces, ticks in pages:
            for clip, place in pieces:
                page.saveState()
                path = page.beginPath()
                path.moveTo(*clip[:2])
                for i in range(2, len(clip), 2):
                    path.lineTo(*clip[i : i + 2])
                path.close()
                page.clipPath(path, stroke=0, fill=0)
                page.transform(*place)
                page.doForm("P")
                page.restoreState()
            page.setLineWidth(TICK_MM * POINTS)
            for tick in ticks:
                page.line(*tick)
            page.showPage()
        page.save()
        return file.getvalue()


def with_pikepdf(shapes, size, pages):
    with io.BytesIO() as file, pikepdf.new() as pdf:
        content = []
        for colour, points in shapes:
            content.append("%.5g %.5g %.5g rg" % colour)
            content.append("%.3f %.3f m" % points[0])
            for i in range(1, len(points), 3):
                content.append("%.3f %.3f %.3f %.3f %.3f %.3f c" % (*points[i], *points[i + 1], *points[i + 2]))
            content.append("h f")
        form = pdf.make_stream("\n".join(content).encode(), Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Form, BBox=[0, 0, 1000, 1000])
        for pieces, ticks in pages:
            content = []
            for clip, place in pieces:
                content.append("q")
                content += ["%.4f %.4f %s" % (*clip[i : i + 2], "l" if i else "m") for i in range(0, len(clip), 2)]
                content.append("h W n")
                content.append("%.7f %.7f %.7f %.7f %.4f %.4f cm /P Do Q" % tuple(place))
            content.append(f"{TICK_MM * POINTS:.4f} w")
            content += ["%.4f %.4f m %.4f %.4f l S" % tuple(tick) for tick in ticks]
            pdf.add_blank_page(page_size=size)
            pdf.pages[-1].Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(P=form))
            pdf.pages[-1].Contents = pdf.make_stream("\n".join(content).encode())
        pdf.save(file, compress_streams=True)
        return file.getvalue()


def least(write, *arguments):
    best = math.inf
    for _ in range(RUNS):
        start = time.process_time()
        data = write(*arguments)
        best = min(best, time.process_time() - start)
    return best, data


def with_pdf_writer(folder, shapes, size, pages):
    crate = HERE / "pages-reference"
    target = ROOT / "target" / "bench" / "pages-reference"
    command = ["cargo", "build", "--release", "--quiet", "--manifest-path", str(crate / "Cargo.toml"), "--target-dir", str(target)]
    subprocess.run(command, check=True)
    lines = [" ".join(f"{v:.6f}" for v in (*colour, *np.ravel(points))) for colour, points in shapes]
    (folder / "elements.txt").write_text("\n".join(lines))
    rows = [" ".join(map(str, (*size, TICK_MM * POINTS)))]
    for pieces, ticks in pages:
        rows.append("page")
        rows += ["piece " + " ".join(f"{v:.6f}" for v in clip) + " | " + " ".join(f"{v:.9f}" for v in place) for clip, place in pieces]
        rows += ["tick " + " ".join(f"{v:.6f}" for v in tick) for tick in ticks]
    (folder / "pages.txt").write_text("\n".join(rows))
    out = folder / "pdf-writer.pdf"
    run = [str(target / "release" / "pages-reference"), *(str(folder / name) for name in ("elements.txt", "pages.txt")), str(out)]
    seconds = float(subprocess.run(run, check=True, capture_output=True, text=True).stdout)
    return seconds, out.read_bytes()


def raster(pdf, page):
    """A page as poppler draws it."""
    command = ["pdftocairo", "-png", "-r", "100", "-f", str(page), "-l", str(page), "-singlefile", str(pdf), "-"]
    return np.asarray(Image.open(io.BytesIO(subprocess.run(command, check=True, capture_output=True).stdout)).convert("RGB")).astype(int)


def difference(ours, other):
    """(largest difference of a level, share of pixels that differ by more than 8 levels) over the pages compared."""
    worst, differing, pixels = 0, 0, 0
    for page, levels in ours.items():
        off = abs(levels - raster(other, page)).max(axis=2)
        worst, differing, pixels = max(worst, int(off.max())), differing + int((off > 8).sum()), pixels + off.size
    return worst, differing / pixels


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sheets", type=int, default=100)
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--ours", help="a build of tests/bench/pages.rs")
    options = parser.parse_args()
    sheets = options.sheets
    shapes = list(elements())
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "leaves.svg").write_text(svg(shapes))
        (folder / "project.toml").write_text(project(sheets))
        command = [options.ours] if options.ours else ["cargo", "bench", "--quiet", "--bench", "pages", "--"]
        command.append(str(folder))
        ours = json.loads(subprocess.run(command, check=True, capture_output=True, text=True, cwd=ROOT, env=os.environ).stdout)
        pages = pages_of(json.loads((folder / "plan.json").read_text()))
        assert len(pages) == sheets and all(len(pieces) == PIECES for pieces, _ in pages), [len(pieces) for pieces, _ in pages]
        size = tuple(side * POINTS for side in A4_MM)
        plain = [(rgb(colour), points) for colour, points in shapes]
        results = {f"reportlab {reportlab.__version__}": least(with_reportlab, plain, size, pages)}
        results[f"pikepdf {pikepdf.__version__}"] = least(with_pikepdf, plain, size, pages)
        results["pdf-writer 0.14"] = with_pdf_writer(folder, plain, size, pages)
        data = (folder / "print.pdf").read_bytes()
        print(f"ours: {ours['pages_s']:.4f} s, {len(data)} bytes; before that read {ours['read_s']:.4f} s, planned {ours['plan_s']:.4f} s")
        shown = {page: raster(folder / "print.pdf", page) for page in range(1, sheets + 1, options.every)}
        for library, (seconds, bytes_of) in results.items():
            (folder / "other.pdf").write_bytes(bytes_of)
            worst, share = difference(shown, folder / "other.pdf")
            print(
                f"{library}: {seconds:.4f} s, {len(bytes_of)} bytes; ours takes {ours['pages_s'] / seconds:.2f} x the time and"
                f" {len(data) / len(bytes_of):.2f} x the bytes; levels differ by {worst} of 255 at most, by more than 8 in {share:.2e} of pixels"
                f" ({len(shown)} pages)",
                flush=True,
            )
    fastest = min(results.values(), key=lambda r: r[0])
    missed = ours["pages_s"] > MOST_TIMES * fastest[0] or len(data) > MOST_BYTES * len(fastest[1])
    print(f"limits {MOST_TIMES} x the time and {MOST_BYTES} x the bytes of the fastest: {'MISSED' if missed else 'kept'}")
    sys.exit(missed)


if __name__ == "__main__":
    main()
