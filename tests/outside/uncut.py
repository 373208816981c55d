"""Draws a page again without seams: all that lies in one colour between two other colours becomes one path.

Reads a page's content through pikepdf, follows forms, clips and matrices, and writes a file whose page holds fills alone, in points. What
a renderer shows of it has no edges between areas of one colour: repeats, tiles and pieces of a motif are one.
"""

import numpy as np
import pikepdf


def matrix_of(numbers):
    a, b, c, d, e, f = (float(n) for n in numbers)
    return np.array([[a, c, e], [b, d, f], [0, 0, 1.0]])


class Walk:
    """Fills in the order in which they are painted: (colour and opacity, path in points, clips around it, where it is spelled)."""

    def __init__(self):
        self.fills, self.read = [], {}

    def instructions(self, stream):
        """A form is shown many times and read once."""
        if stream.objgen not in self.read:
            self.read[stream.objgen] = [(list(operands), str(operator)) for operands, operator in pikepdf.parse_content_stream(stream)]
        return self.read[stream.objgen]

    def run(self, stream, resources, matrix, clips, place=()):
        saved, path, pending, colour, opacity = [], [], None, (0.0,), 1.0
        for count, (operands, name) in enumerate(self.instructions(stream)):
            if name == "q":
                saved.append((matrix, clips, colour, opacity))
            elif name == "Q":
                matrix, clips, colour, opacity = saved.pop()
            elif name == "cm":
                matrix = matrix @ matrix_of(operands)
            elif name in "mlch":
                path.append((name, points(operands, matrix)))
            elif name in ("g", "rg"):
                colour = tuple(float(n) for n in operands)
            elif name == "gs":
                opacity = float(resources.ExtGState[operands[0]].ca)
            elif name == "f":
                self.fills.append(((colour, opacity), path, clips, place + (count,)))
                path = []
            elif name == "W":
                pending = path
            elif name == "n":
                clips, path, pending = (*clips, tuple(pending)) if pending else clips, [], None
            elif name == "Do":
                form = resources.XObject[operands[0]]
                if form.Subtype != "/Form":
                    raise ValueError("a picture of pixels on a page that should hold fills alone")
                self.run(form, form.get("/Resources", resources), matrix, clips, place + (form.objgen,))
            elif name == "S":
                path = []  # a tick, beside the pieces
            elif name not in ("BDC", "EMC", "G", "w", "J", "j", "M", "d"):
                raise ValueError(f"an operator that is not read: {name}")


def points(operands, matrix):
    values = np.array([float(n) for n in operands]).reshape(-1, 2)
    return values @ matrix[:2, :2].T + matrix[:2, 2]


def grouped(fills):
    """Neighbours in paint order that share colour and clips, as one; of what is seen through only the same part of a motif."""
    groups, last = [], None
    for colour, path, clips, place in fills:
        alike = colour[1] == 1 or place == last
        if groups and groups[-1][0] == colour and groups[-1][2] is clips and alike:
            groups[-1][1].extend(path)
        else:
            groups.append((colour, list(path), clips))
        last = place
    return groups


def by_part(fills):
    """The same part of a motif at all its places is painted in one go: for motifs that do not lie over one another.

    The last number of a place is the part of its motif; the one before names the motif. Grounds and grown runs keep their order.
    """
    runs, last = [], None
    for fill in fills:
        motif = fill[3][:-1]
        if motif != last:
            runs.append([])
            last = motif
        runs[-1].append(fill)
    ordered = []
    for run in runs:
        parts = sorted({fill[3][-1] for fill in run})
        for part in parts:
            ordered += [fill for fill in run if fill[3][-1] == part]
    return ordered


def spelled(path):
    return "".join(" ".join(f"{v:.7f}" for v in at.ravel()) + f" {name}\n" for name, at in path)


def fills_of(page):
    walk = Walk()
    walk.run(page, page.Resources, np.eye(3), ())
    return walk.fills


def redraw(pdf, number, target, parts_together):
    """Writes page `number` (from 1) of a file without seams; returns how many fills became how many."""
    with pikepdf.open(pdf) as source:
        page = source.pages[number - 1]
        fills = fills_of(page)
        groups = grouped(by_part(fills) if parts_together else fills)
        content = []
        states = sorted({opacity for (_, opacity), _, _ in groups})
        for (colour, opacity), path, clips in groups:
            around = "".join(spelled(clip) + "W n\n" for clip in clips)
            paint = " ".join(f"{v:.5f}" for v in colour) + (" g" if len(colour) == 1 else " rg")
            content.append(f"q\n/G{states.index(opacity)} gs\n{around}{paint}\n{spelled(path)}f\nQ\n")
        with pikepdf.new() as drawn:
            box = [float(v) for v in page.MediaBox]
            drawn.add_blank_page(page_size=(box[2] - box[0], box[3] - box[1]))
            kept = {f"/G{n}": pikepdf.Dictionary(ca=opacity) for n, opacity in enumerate(states)}
            drawn.pages[0].Resources = pikepdf.Dictionary(ExtGState=pikepdf.Dictionary(kept))
            drawn.pages[0].Contents = drawn.make_stream("".join(content).encode())
            drawn.save(target)
    return len(fills), len(groups)
