"""Makes projects of huge PNG pictures with the program at argv[1], in the folder argv[2], and prints how much memory each took.

The files are written here after the PNG specification (third edition: 9 filtering, 8 interlacing), with numpy for the pixels. Each has
8000 x 8000 pixels, as many as are taken. The resident memory is the operating system's own measure (getrusage, ru_maxrss).
Ends with status 1 if one of those that are taken needs 512 MB or more, or one of those that are refused more than 150 MB.
"""

import os
import resource
import struct
import subprocess
import sys
import time
import zlib
from pathlib import Path

import numpy as np

SIDE = 8000
MOST_KB = 512 * 1000
MOST_REFUSED_KB = 150 * 1000
# Pass by pass: first column and row, and steps (PNG, third edition, 8.1).
ADAM7 = [(0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2)]

PROJECT = """
sheetwright = 1
[job]
name = "Swap morning poster"
copies = 1
cut_by = "machine"
[[stock]]
id = "white"
format = "{paper}"
face_a = "printable"
[[piece]]
id = "poster"
stock = "white"
shape = {{ kind = "rectangle", size = "{piece}" }}
[[piece.artwork]]
file = "poster.png"
width = "{width}"
"""


def chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def row(y, xs, channels, wide, side):
    """Soft waves with grain, as a photograph has it; the same pixel whatever the order of rows."""
    x = xs.astype(np.float64)
    wave = [127.5 + 100 * np.sin(x / (150 + 40 * c) + y / (230 - 30 * c) + c) for c in range(channels)]
    grain = ((xs * 2654435761 + y * 40503) >> 7) % 7 - 3
    samples = np.stack([np.clip(w + grain, 0, 255) for w in wave], axis=1)
    if wide:
        return (samples * 257).astype(">u2").tobytes()
    return samples.astype(np.uint8).tobytes()


def write(path, channels, wide, interlaced, side=SIDE):
    colour = {1: 0, 3: 2, 4: 6}[channels]
    header = struct.pack(">IIBBBBB", side, side, 16 if wide else 8, colour, 0, 0, int(interlaced))
    packer = zlib.compressobj(3)
    passes = ADAM7 if interlaced else [(0, 0, 1, 1)]
    with open(path, "wb") as file:
        file.write(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header))
        step = channels * (2 if wide else 1)
        for x0, y0, dx, dy in passes:
            xs = np.arange(x0, side, dx, dtype=np.int64)
            for y in range(y0, side, dy):
                plain = np.frombuffer(row(y, xs, channels, wide, side), np.uint8)
                left = np.concatenate([np.zeros(step, np.uint8), plain[:-step]])
                packed = packer.compress(b"\x01" + (plain - left).tobytes())
                if packed:
                    file.write(chunk(b"IDAT", packed))
        file.write(chunk(b"IDAT", packer.flush()) + chunk(b"IEND", b""))


def run(program, folder, out):
    before = time.time()
    child = subprocess.Popen(
        [program, "make", str(folder), "--out", str(out), "--effort", "quick"],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
    )
    said = child.stdout.read().decode()
    _, status, used = os.wait4(child.pid, 0)
    return os.waitstatus_to_exitcode(status), used.ru_maxrss, time.time() - before, said


def main():
    program, base = sys.argv[1], Path(sys.argv[2])
    only = sys.argv[3:]
    poster = dict(paper="8.5 x 11 in", piece="7 x 7 in", width="7 in")
    large = dict(paper="13 x 19 in", piece="12 x 12 in", width="12 in")
    tag = dict(paper="8.5 x 11 in", piece="2 x 2 in", width="2 in")
    cases = [
        ("rgb8", 3, False, False, SIDE, poster), ("rgb8-large", 3, False, False, SIDE, large),
        ("rgba8", 4, False, False, SIDE, poster), ("rgba8-large", 4, False, False, SIDE, large),
        ("rgba16", 4, True, False, SIDE, poster), ("rgb8-interlaced", 3, False, True, SIDE, poster),
        ("rgba16-interlaced", 4, True, True, SIDE, large), ("rgb8-tag", 3, False, False, SIDE, tag),
        ("refused", 3, False, False, SIDE + 8, poster),
    ]
    is_good = True
    for name, channels, wide, interlaced, side, sizes in cases:
        if only and name not in only:
            continue
        folder = base / name
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "project.toml").write_text(PROJECT.format(**sizes))
        picture = folder / "poster.png"
        if not picture.exists():
            write(picture, channels, wide, interlaced, side)
        status, kb, seconds, said = run(program, folder, folder / "out")
        most = MOST_REFUSED_KB if name == "refused" else MOST_KB
        good = kb < most and (status == 0) == (name != "refused")
        is_good &= good
        told = [line for line in said.splitlines() if "poster.png" in line]
        print(f"{name}: {picture.stat().st_size / 1e6:.0f} MB file, status {status}, {kb / 1000:.0f} MB, {seconds:.0f} s", told[:1], flush=True)
        if not good:
            print(said[-2000:])
    sys.exit(0 if is_good else 1)


main()
