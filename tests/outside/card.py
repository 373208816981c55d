#!/usr/bin/env python3
"""Prints a test card as artwork, lets poppler draw the page and compares levels; takes JPEG files out of a page again, byte by byte.

    card.py PROGRAM FOLDER              exit code 1 if a level is off by more than 2 of 255, or a byte of a JPEG by anything
    card.py --self-test PROGRAM FOLDER  besides, levels and bytes that are not those of the card, each of which has to be seen

The card holds 52 greys, the 216 colours of six levels a channel, colours of nine opacities over white paper and over a flat colour, and
lines one and two pixels wide. It is drawn at its own resolution, pixel on pixel, so that nothing is resampled: what comes back is
what went in. The same card as SVG is the same rectangles. Levels of what is seen through are reckoned as in ISO 32000-1, 11.3.3.
"""

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
import pikepdf
from PIL import Image
from trials import Trial, made

LIMIT = 2
DPI = 150
CELL = 12  # pixels of a patch
COLUMNS, ROWS = 28, 17
FLAT = (0x8F, 0xB3, 0x9A)
# In pixels of the card, whole: on the page, pixel lies on pixel.
AT_PX, MARGIN_PX = (90, 96), 24
MM = 25.4 / DPI


def patches():
    """(column, row, colour, opacity) of every cell."""
    greys = [(round(n * 5), 255) for n in range(52)]
    cells = [((v, v, v), a) for v, a in greys]
    steps = (0, 51, 102, 153, 204, 255)
    cells += [((r, g, b), 255) for r in steps for g in steps for b in steps]
    alphas = (0, 1, 32, 64, 96, 128, 191, 223, 254)
    cells += [(c, a) for c in ((0, 0, 0), (255, 255, 255), (200, 30, 60), (20, 120, 40), (30, 60, 200)) for a in alphas]
    for index, (colour, alpha) in enumerate(cells):
        yield index % COLUMNS, index // COLUMNS, colour, alpha


def lines():
    """(left, top, right, bottom, colour) in pixels: one pixel of line and one to four of paper, both ways; then two pixels."""
    top = (ROWS - 4) * CELL
    x = 2
    for width, gap, colour in ((1, 1, (0, 0, 0)), (1, 2, (0, 0, 0)), (1, 4, (200, 30, 60)), (2, 2, (0, 0, 0)), (2, 3, (30, 60, 200))):
        for _ in range(8):
            yield x, top, x + width, top + 40, colour
            x += width + gap
        x += 4
    y = top
    for width, gap in ((1, 1), (1, 2), (2, 2)):
        for _ in range(4):
            yield x, y, x + 60, y + width, (0, 0, 0)
            y += width + gap


def card():
    """Levels and opacities, rows first."""
    picture = np.zeros((ROWS * CELL, COLUMNS * CELL, 4), np.uint8)
    for column, row, colour, alpha in patches():
        picture[row * CELL : (row + 1) * CELL, column * CELL : (column + 1) * CELL] = (*colour, alpha)
    for left, top, right, bottom, colour in lines():
        picture[top:bottom, left:right] = (*colour, 255)
    return picture


def inner():
    """The middles of patches. Poppler's other renderer, pdftoppm, draws a picture of pixels up to a pixel larger than its box and so
    resamples it; there the lines and the borders of patches say nothing.
    """
    mask = np.zeros((ROWS * CELL, COLUMNS * CELL), bool)
    for column, row, _, _ in patches():
        mask[row * CELL + 3 : (row + 1) * CELL - 3, column * CELL + 3 : (column + 1) * CELL - 3] = True
    return mask


def as_png(picture):
    with io.BytesIO() as file:
        Image.fromarray(picture).save(file, "png")
        return file.getvalue()


def as_svg():
    rects = []
    for column, row, (r, g, b), alpha in patches():
        opacity = f' fill-opacity="{alpha / 255:.6f}"' if alpha < 255 else ""
        rects.append(f'<rect x="{column * CELL}" y="{row * CELL}" width="{CELL}" height="{CELL}" fill="#{r:02x}{g:02x}{b:02x}"{opacity}/>')
    for left, top, right, bottom, (r, g, b) in lines():
        # As a stroke, whose middle is the line.
        if right - left < bottom - top:
            path, width = f"M{(left + right) / 2} {top}V{bottom}", right - left
        else:
            path, width = f"M{left} {(top + bottom) / 2}H{right}", bottom - top
        rects.append(f'<path d="{path}" stroke="#{r:02x}{g:02x}{b:02x}" stroke-width="{width}" fill="none"/>')
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {COLUMNS * CELL} {ROWS * CELL}">{"".join(rects)}</svg>'.encode()


def over(picture, ground):
    """What is seen of it on a ground, in exact levels."""
    share = picture[..., 3:] / 255.0
    return picture[..., :3] * share + np.array(ground) * (1 - share)


def trial(name, file, ground):
    flat = f'[[piece.artwork]]\ncolour = "#{"".join(f"{v:02x}" for v in ground)}"\n' if ground else ""
    wide = COLUMNS * CELL * MM
    at = f"{MARGIN_PX * MM:.6f} mm, {MARGIN_PX * MM:.6f} mm"
    art = f'{flat}[[piece.artwork]]\nfile = "{file}"\nwidth = "{wide:.6f} mm"\nat = "{at}"\n'
    size = tuple(round((side * CELL + 2 * MARGIN_PX) * MM, 6) for side in (COLUMNS, ROWS))
    return Trial(name, size, tuple(at * MM for at in AT_PX), (110, 90), art)


def drawn(program, pdf, page):
    if program == "pdftoppm":
        command = ["pdftoppm", "-r", str(DPI), "-f", str(page), "-l", str(page), "-singlefile", str(pdf)]
    else:
        command = ["pdftocairo", "-png", "-r", str(DPI), "-f", str(page), "-l", str(page), "-singlefile", str(pdf), "-"]
    picture = Image.open(io.BytesIO(subprocess.run(command, check=True, capture_output=True).stdout))
    left, top = (at + MARGIN_PX for at in AT_PX)
    return np.asarray(picture.convert("RGB"))[top : top + ROWS * CELL, left : left + COLUMNS * CELL].astype(float)


def jpegs():
    """Files of every kind that is common, by name; the picture has no symmetry, so that a wrong turn shows."""
    ramp = np.zeros((60, 90, 3), np.uint8)
    ramp[..., 0], ramp[..., 1], ramp[..., 2] = np.arange(90)[None] * 2, np.arange(60)[:, None] * 4, 60
    ramp[:20, :30] = (250, 250, 250)
    colour, grey = Image.fromarray(ramp), Image.fromarray(ramp).convert("L")
    ways = {"baseline.jpg": (colour, {}), "progressive.jpg": (colour, {"progressive": True}), "grey.jpg": (grey, {})}
    ways["full.jpg"] = (colour, {"subsampling": 0, "quality": 98})
    for turn in range(2, 9):
        exif = Image.Exif()
        exif[0x0112] = turn
        ways[f"turned-{turn}.jpg"] = (colour, {"exif": exif})
    files = {}
    for name, (picture, how) in ways.items():
        with io.BytesIO() as file:
            picture.save(file, "jpeg", **({"quality": 90} | how))
            files[name] = file.getvalue()
    return files


def embedded(pdf):
    """The raw bytes of every JPEG in a file."""
    with pikepdf.open(pdf) as file:
        streams = [o for o in file.objects if isinstance(o, pikepdf.Stream) and o.get("/Filter") == "/DCTDecode"]
        return {bytes(stream.read_raw_bytes()) for stream in streams}


def seen_upright(pdf, page, data):
    """The mean difference between a turned JPEG on its page and the same file, turned by another program: nearly none if upright."""
    from PIL import ImageOps

    upright = ImageOps.exif_transpose(Image.open(io.BytesIO(data))).convert("RGB")
    left, top = AT_PX
    command = ["pdftocairo", "-png", "-r", str(DPI), "-f", str(page), "-l", str(page), "-singlefile", str(pdf), "-"]
    picture = Image.open(io.BytesIO(subprocess.run(command, check=True, capture_output=True).stdout)).convert("RGB")
    shown = picture.crop((left, top, left + upright.width, top + upright.height))
    return float(abs(np.asarray(shown).astype(float) - np.asarray(upright)).mean())


def compare_jpegs(program, folder, testing):
    files, trials = jpegs(), []
    for name, data in files.items():
        wide, high = Image.open(io.BytesIO(data)).size
        if name.startswith("turned") and int(name[7]) > 4:
            wide, high = high, wide
        art = f'[[piece.artwork]]\nfile = "{name}"\nwidth = "{wide * MM:.6f} mm"\nat = "0 mm, 0 mm"\n'
        size = tuple(round(side * MM, 6) for side in (wide, high))
        trials.append(Trial(name.removesuffix(".jpg"), size, tuple(at * MM for at in AT_PX), (110, 90), art))
    pdf = made(program, folder / "jpegs", trials, files)
    found, wrong = embedded(pdf), []
    for page, (name, data) in enumerate(files.items(), 1):
        same, turned = data in found, seen_upright(pdf, page, data)
        print(f"{name}: {len(data)} bytes {'the same' if same else 'CHANGED'}, upright within {turned:.2f} levels")
        if not same or turned > LIMIT:
            wrong.append(name)
    if testing and bytes([*files["grey.jpg"][:-1], 0]) in found:
        wrong.append("a changed byte was not seen")
    return wrong


def main():
    arguments = [a for a in sys.argv[1:] if a != "--self-test"]
    testing, program, folder = "--self-test" in sys.argv, arguments[0], Path(arguments[1])
    picture = card()
    trials = [trial(f"{file[5:]}-{ground or 'white'}".replace("(143, 179, 154)", "flat"), file, ground) for file in ("card.png", "card.svg") for ground in (None, FLAT)]
    pdf = made(program, folder / "card", trials, {"card.png": as_png(picture), "card.svg": as_svg()})
    worst, least = 0.0, 255.0
    for page, one in enumerate(trials, 1):
        wanted = over(picture, FLAT if one.id.endswith("flat") else (255, 255, 255))
        for renderer in ("pdftocairo", "pdftoppm"):
            shown = drawn(renderer, pdf, page)
            off = abs(shown - wanted) if renderer == "pdftocairo" else abs(shown - wanted)[inner()]
            worst = max(worst, off.max())
            print(f"{one.id}, {renderer}: {off[..., 0].size} pixels, off by {off.max():.2f}, mean {off.mean():.3f}", flush=True)
            if testing:
                least = min(least, abs(shown - wanted - 3).max(), abs(shown - np.roll(wanted, CELL, axis=1))[inner()].max())
    wrong = compare_jpegs(program, folder, testing)
    print(f"worst {worst:.2f} of 255, limit {LIMIT}; files not as they were: {wrong or 'none'}")
    if testing:
        print(f"caught: levels wanted 3 brighter, and a card a patch to the side, are off by {least:.2f} at least")
    sys.exit(bool(worst > LIMIT or least <= LIMIT or wrong))


if __name__ == "__main__":
    main()
