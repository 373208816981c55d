"""Small projects of one printed piece a sheet, made by the program and looked at by other people's programs.

A trial is a sheet with one piece at a known place. Marks and captions are left off, so that all that is printed is artwork.
"""

import subprocess
from dataclasses import dataclass, field

from pixels import MM_PER_INCH, PAGE_DPI

# A millimetre of page in pixels; places on the page at whole multiples of 1/600 in lie on the edge between two pixels.
PX = MM_PER_INCH / PAGE_DPI


@dataclass
class Trial:
    """A piece on a sheet of its own; sizes and places in millimetres, artwork as lines of TOML."""

    id: str
    size: tuple
    at: tuple
    sheet: tuple
    artwork: str
    more: str = ""  # further lines of the piece
    shape: str = ""
    names: list = field(default_factory=list)

    def text(self):
        wide, high = self.size
        shape = self.shape or f'{{ kind = "rectangle", width = "{wide} mm", height = "{high} mm" }}'
        return f"""
[[stock]]
id = "{self.id}"
format = "{self.sheet[0]} x {self.sheet[1]} mm"
face_a = "printable"
[[piece]]
id = "{self.id}"
stock = "{self.id}"
turns = "none"
shape = {shape}
{self.more}
{self.artwork}
[[pin]]
piece = "{self.id}"
copy = 1
x = "{self.at[0]:.6f} mm"
y = "{self.at[1]:.6f} mm"
"""


def made(binary, folder, trials, pictures=None):
    """print.pdf of a job of these trials, one page each in their order."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, data in (pictures or {}).items():
        (folder / name).write_bytes(data)
    head = 'sheetwright = 1\n[job]\nname = "Trial"\ncopies = 1\ncut_by = "machine"\nbleed = "3 mm"\nmarks = "never"\ncaption = false\n'
    (folder / "project.toml").write_text(head + "".join(trial.text() for trial in trials))
    out = folder / "made"
    command = [str(binary), "make", str(folder), "--out", str(out), "--effort", "quick"]
    run = subprocess.run(command, capture_output=True, text=True)
    if run.returncode != 0:
        raise SystemExit(f"{folder}: {run.stdout}{run.stderr}")
    return out / "print.pdf"
