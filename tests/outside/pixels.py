"""Renders pages and drawings with other people's programs, and measures lines and edges in the pixels, finer than a pixel.

All places are in millimetres, y down from the picture's top left corner.
"""

import io
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import resvg_py
from PIL import Image

MM_PER_INCH = 25.4
PAGE_DPI = 600
CSS_DPI = 96
# Whole, since resvg's Python package first rounds a drawing's size to whole CSS pixels and then scales that to the wanted size.
ZOOM = 6
CHROMIUM = "chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --no-first-run --disable-quic --disable-sync"
CHROMIUM += " --disable-background-networking --disable-component-update"

Image.MAX_IMAGE_PIXELS = None


class Raster:
    """The pixels of one rendered page."""

    def __init__(self, png, dpi):
        self.pixels_per_mm = dpi / MM_PER_INCH
        self.levels = np.asarray(Image.open(io.BytesIO(png)).convert("RGB"))
        self.dark = 255 - self.levels.min(axis=2)

    def sample(self, channel, points_mm):
        """Levels between the pixels' centres, by bilinear interpolation."""
        at = points_mm * self.pixels_per_mm - 0.5
        height, width = channel.shape
        x, y = np.clip(at[..., 0], 0, width - 1.001), np.clip(at[..., 1], 0, height - 1.001)
        i, j = x.astype(int), y.astype(int)
        u, v = x - i, y - j
        top = channel[j, i] * (1 - u) + channel[j, i + 1] * u
        return top * (1 - v) + (channel[j + 1, i] * (1 - u) + channel[j + 1, i + 1] * u) * v


def poppler(pdf, page, dpi=PAGE_DPI):
    command = ["pdftocairo", "-png", "-r", str(dpi), "-f", str(page), "-l", str(page), "-singlefile", str(pdf), "-"]
    return Raster(subprocess.run(command, check=True, capture_output=True).stdout, dpi)


def mupdf(pdf, page, dpi=PAGE_DPI):
    command = ["mutool", "draw", "-q", "-F", "png", "-r", str(dpi), "-o", "-", str(pdf), str(page)]
    return Raster(subprocess.run(command, check=True, capture_output=True).stdout, dpi)


def pdfium(pdf, page):
    """What Chromium draws PDF files with, by itself."""
    import pypdfium2

    document = pypdfium2.PdfDocument(str(pdf))
    # A little less, since the size in pixels is rounded up, and a whole number of them is meant to stay what it is.
    scale = PAGE_DPI / 72 * (1 - 1e-9)
    picture = document[page - 1].render(scale=scale, rev_byteorder=True).to_pil()
    with io.BytesIO() as file:
        picture.convert("RGB").save(file, "ppm")
        return Raster(file.getvalue(), PAGE_DPI)


def resvg(svg, _extent_mm):
    return Raster(bytes(resvg_py.svg_to_bytes(svg_path=str(svg), background="#ffffff", dpi=CSS_DPI, zoom=ZOOM)), CSS_DPI * ZOOM)


def chromium(svg, extent_mm):
    window = ",".join(str(int(side * CSS_DPI / MM_PER_INCH) + 2) for side in extent_mm)
    with tempfile.TemporaryDirectory() as folder:
        picture = Path(folder) / "page.png"
        options = [f"--user-data-dir={folder}/profile", f"--window-size={window}", f"--screenshot={picture}"]
        options.append(f"--force-device-scale-factor={ZOOM}")
        subprocess.run([*CHROMIUM.split(), *options, svg.resolve().as_uri()], check=True, capture_output=True, timeout=300)
        return Raster(picture.read_bytes(), CSS_DPI * ZOOM)


def across(points_mm, normals, reach_mm, steps=121):
    """Sampling places on both sides of a line: (offsets, places)."""
    offsets = np.linspace(-reach_mm, reach_mm, steps)
    return offsets, points_mm[:, None, :] + offsets[None, :, None] * normals[:, None, :]


def line_offsets(raster, points_mm, normals, reach_mm=0.3):
    """How far a thin dark line lies from each point along its normal: the centroid of the darkness across it.

    Points where the ink across is not the usual amount of this line, since something else is near, are left out.
    """
    offsets, places = across(points_mm, normals, reach_mm)
    dark = raster.sample(raster.dark, places)
    ink = dark.sum(axis=1)
    usual = np.median(ink)
    if usual <= 0:
        return np.empty(0)
    clean = (abs(ink / usual - 1) < 0.1) & (dark[:, [0, -1]].max(axis=1) < 0.05 * dark.max(axis=1))
    return (dark @ offsets)[clean] / ink[clean]


def lies_between(levels, low, high, slack=2):
    """Whether all levels across an edge lie between those of its two sides: neighbours that touch let the paper through in a hairline."""
    sides = levels[:, low | high]
    least, most = sides.min(axis=1, keepdims=True), sides.max(axis=1, keepdims=True)
    return np.all((levels >= least - slack) & (levels <= most + slack), axis=1)


def edge_offsets(raster, points_mm, normals, reach_mm=0.5):
    """How far the edge between two even colours lies from each point along its normal.

    Between the two levels the picture is summed up: the share of each level says where a sharp edge would lie. Points with an
    uneven colour on either side, with too little contrast, or where a third colour shows between the two, are left out.
    """
    offsets, places = across(points_mm, normals, reach_mm)
    best = np.empty(0)
    low, high = offsets < -0.4 * reach_mm, offsets > 0.4 * reach_mm
    sampled = [raster.sample(raster.levels[..., channel], places) for channel in range(3)]
    between = np.all([lies_between(levels, low, high) for levels in sampled], axis=0)
    for levels in sampled:
        inside, outside = levels[:, low].mean(axis=1), levels[:, high].mean(axis=1)
        even = np.maximum(np.ptp(levels[:, low], axis=1), np.ptp(levels[:, high], axis=1)) <= 2
        clean = even & between & (abs(outside - inside) >= 10)
        share = (levels[clean] - outside[clean, None]) / (inside - outside)[clean, None]
        step_mm = offsets[1] - offsets[0]
        # A softened edge is over within two pixels; what takes longer is a strip of a third colour, as where a band ends beside the edge.
        sharp = ((share > 0.1) & (share < 0.9)).sum(axis=1) * step_mm * raster.pixels_per_mm <= 2.5
        # Trapezoids: the two ends of the window count half.
        area = (share.sum(axis=1) - (share[:, 0] + share[:, -1]) / 2)[sharp] * step_mm
        if len(area) > len(best):
            best = area - reach_mm
    return best


def ring_centre(raster, centre_mm, ring_mm, outer_mm, rays=360):
    """The centre of a dark ring's outer edge, from a guess within a third of the ring's width."""
    angles = np.arange(rays) * 2 * np.pi / rays
    directions = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    reach_mm = outer_mm + 0.3
    distances = np.linspace(ring_mm, reach_mm, 200)
    dark = raster.sample(raster.dark, np.asarray(centre_mm) + distances[None, :, None] * directions[:, None, :])
    black = dark[:, :10].mean(axis=1, keepdims=True)
    if black.min() < 128:
        return None
    share = dark / black
    radii = ring_mm + (share.sum(axis=1) - (share[:, 0] + share[:, -1]) / 2) * (distances[1] - distances[0])
    return np.asarray(centre_mm) + 2 * (radii[:, None] * directions).mean(axis=0)
