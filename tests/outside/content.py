"""Reads what pages of a PDF draw, through qpdf: paths, words and marked content, in millimetres from the page's top left corner.

Only what our own files hold is known: operators of paths, text, colours, graphics state, marked content and forms. Anything else is an
error, so that nothing is passed over.
"""

import base64
import json
import re
import subprocess
from dataclasses import dataclass, field

import numpy as np

MM_PER_POINT = 25.4 / 72
TOKEN = re.compile(rb"\s*(<<|>>|\((?:\\.|[^()\\])*\)|<[0-9A-Fa-f\s]*>|[\[\]]|/[^\s/\[\]()<>]+|[^\s/\[\]()<>]+)", re.S)
PASSED_OVER = {b"n", b"ri", b"i", b"j", b"J", b"M", b"Tc", b"Tw", b"Tz", b"TL", b"Ts", b"Tr", b"gs", b"W", b"W*", b"BMC", b"sh"}


@dataclass
class Painted:
    """A path or a line of words."""

    kind: str  # "fill", "stroke", "text" or "picture"
    tags: tuple  # (kind, id) of the marked content around it, the outermost first
    points_mm: np.ndarray  # corners and control points
    colour: tuple  # grey, red-green-blue or cyan-magenta-yellow-black levels; a name for anything else
    em_mm: float = 0.0
    width_mm: float = 0.0
    dash_mm: tuple = ()


@dataclass
class State:
    matrix: np.ndarray
    fill: tuple = (0.0,)
    stroke: tuple = (0.0,)
    width: float = 1.0
    dash: tuple = ()
    em: float = 0.0

    def copy(self):
        return State(self.matrix, self.fill, self.stroke, self.width, self.dash, self.em)


@dataclass
class Pdf:
    """A file as qpdf spells it."""

    objects: dict
    pages: list = field(default_factory=list)

    @classmethod
    def read(cls, path):
        command = ["qpdf", "--json=2", "--json-stream-data=inline", "--decode-level=generalized", str(path)]
        whole = json.loads(subprocess.run(command, check=True, capture_output=True).stdout)
        return cls(whole["qpdf"][1], [page["object"] for page in whole["pages"]])

    def get(self, value):
        """What a value is, references followed."""
        while isinstance(value, str) and re.fullmatch(r"\d+ \d+ R", value):
            value = self.objects[f"obj:{value}"]
            value = value.get("value", value)
        return value

    def stream(self, value):
        value = self.get(value)["stream"]
        return base64.b64decode(value["data"]), value["dict"]

    def information(self):
        trailer = self.get(self.objects["trailer"]["value"])
        return self.get(trailer.get("/Info", {})), self.get(trailer["/Root"])

    def page(self, number):
        """(width, height, everything painted) of a page, counted from 0."""
        page = self.get(self.pages[number])
        x0, y0, x1, y1 = self.get(page["/MediaBox"])
        flip = np.array([[MM_PER_POINT, 0, -x0 * MM_PER_POINT], [0, -MM_PER_POINT, y1 * MM_PER_POINT], [0, 0, 1]])
        contents = self.get(page["/Contents"])
        contents = contents if isinstance(contents, list) else [page["/Contents"]]
        data = b"\n".join(self.stream(part)[0] for part in contents)
        reader = Reader(self, self.get(page.get("/Resources", {})))
        reader.run(data, State(flip))
        return (x1 - x0) * MM_PER_POINT, (y1 - y0) * MM_PER_POINT, reader.painted


def matrix_of(numbers):
    a, b, c, d, e, f = numbers
    return np.array([[a, c, e], [b, d, f], [0, 0, 1]])


class Reader:
    """Runs content streams."""

    def __init__(self, pdf, resources):
        self.pdf, self.resources, self.painted, self.tags = pdf, resources, [], []

    def run(self, data, state):
        saved, operands, path, words = [], [], [], None
        for token in (found.group(1) for found in TOKEN.finditer(data)):
            if token[:1] in b"/([<" or token in (b"]", b">>") or re.fullmatch(rb"[+-]?[\d.]+", token):
                operands.append(token)
                continue
            numbers = [float(o) for o in operands if re.fullmatch(rb"[+-]?[\d.]+", o)]
            if token == b"q":
                saved.append(state.copy())
            elif token == b"Q":
                state = saved.pop()
            elif token == b"cm":
                state.matrix = state.matrix @ matrix_of(numbers)
            elif token in (b"m", b"l", b"c", b"v", b"y"):
                path += list(zip(numbers[::2], numbers[1::2]))
            elif token == b"re":
                x, y, w, h = numbers
                path += [(x, y), (x + w, y + h)]
            elif token in (b"g", b"rg", b"k"):
                state.fill = tuple(numbers)
            elif token in (b"G", b"RG", b"K"):
                state.stroke = tuple(numbers)
            elif token in (b"cs", b"CS", b"scn", b"SCN", b"sc", b"SC"):
                name = "fill" if token.islower() else "stroke"
                setattr(state, name, tuple(numbers) or ("other",))
            elif token == b"w":
                state.width = numbers[0]
            elif token == b"d":
                state.dash = tuple(numbers[:-1])
            elif token == b"Tf":
                state.em = numbers[0]
            elif token == b"BT":
                words = np.eye(3)
            elif token == b"Tm":
                words = matrix_of(numbers)
            elif token == b"Td":
                words = words @ matrix_of([1, 0, 0, 1, *numbers])
            elif token in (b"Tj", b"TJ"):
                self.paint("text", state, [(0, 0), (0, state.em)], state.matrix @ words)
            elif token in (b"f", b"F", b"f*", b"S", b"s", b"B", b"B*", b"b", b"b*"):
                for kind in ("fill", "stroke"):
                    if token[:1] in {"fill": b"fFBb", "stroke": b"SsBb"}[kind]:
                        self.paint(kind, state, path, state.matrix)
            elif token == b"BDC":
                self.tags.append(self.tag(operands))
            elif token == b"EMC":
                self.tags.pop()
            elif token == b"Do":
                self.form(operands[-1].decode(), state)
            elif token not in PASSED_OVER and token not in (b"h", b"ET"):
                raise ValueError(f"an operator that is not read: {token!r}")
            if token in (b"f", b"F", b"f*", b"S", b"s", b"B", b"B*", b"b", b"b*", b"n"):
                path = []
            operands = []

    def tag(self, operands):
        text = b" ".join(operands)
        found = re.search(rb"/Kind \((.*?)\) /Id \((.*)\) >>", text, re.S)
        return (found.group(1).decode(), found.group(2).decode()) if found else ("", text.decode())

    def paint(self, kind, state, path, matrix):
        points = np.array([[x, y, 1.0] for x, y in path]).reshape(-1, 3) @ matrix.T
        scale = np.sqrt(abs(np.linalg.det(matrix[:2, :2])))
        colour = state.stroke if kind == "stroke" else state.fill
        tags = tuple(tag for tag in self.tags if tag[0])
        dash = tuple(d * scale for d in state.dash)
        self.painted.append(Painted(kind, tags, points[:, :2], colour, state.em * scale, state.width * scale, dash))

    def form(self, name, state):
        data, own = self.pdf.stream(self.pdf.get(self.resources["/XObject"])[name])
        if own["/Subtype"] != "/Form":
            self.paint("picture", state, [(0, 0), (1, 1)], state.matrix)
            return
        inner = state.copy()
        inner.matrix = state.matrix @ matrix_of(self.pdf.get(own.get("/Matrix", [1, 0, 0, 1, 0, 0])))
        outer, self.resources = self.resources, self.pdf.get(own.get("/Resources", self.resources))
        self.run(data, inner)
        self.resources = outer
