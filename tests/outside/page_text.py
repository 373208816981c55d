"""The words of a PDF's pages as poppler reads them, put together to lines, sections and table rows by where they stand."""

import html
import re
import subprocess

# Noto Sans: height of a word's box, and its part above the baseline, both in ems (the font's own ascent 1.069 and descent 0.293).
BOX_EM, ASCENT_EM = 1.362, 1.069
BASELINE_PT = 1.0  # words whose baselines differ by less stand on one line
COLUMN_PT = 1.5  # a cell begins no farther left of its column's head
GAP_EM = 0.9  # words farther apart belong to different cells


class Word:
    def __init__(self, x0, y0, x1, y1, text):
        self.x0, self.x1, self.text = x0, x1, text
        self.em = (y1 - y0) / BOX_EM
        self.baseline = y0 + ASCENT_EM * self.em


class Line:
    def __init__(self, page, words):
        self.page, self.words = page, sorted(words, key=lambda word: word.x0)
        self.x0, self.em = self.words[0].x0, self.words[0].em
        self.baseline = self.words[0].baseline

    def __str__(self):
        return " ".join(word.text for word in self.words)

    def cells(self):
        """Stretches of words with no wide gap between them, as (left end, text)."""
        groups = [[self.words[0]]]
        for word in self.words[1:]:
            if word.x0 - groups[-1][-1].x1 > GAP_EM * self.em:
                groups.append([])
            groups[-1].append(word)
        return [(group[0].x0, " ".join(word.text for word in group)) for group in groups]


def pages(path):
    """Each page's lines from top to bottom."""
    command = ["pdftotext", "-bbox", str(path), "-"]
    text = subprocess.run(command, capture_output=True, check=True, text=True).stdout
    found = []
    for number, page in enumerate(re.findall(r"<page .*?</page>", text, re.S), 1):
        rows = re.findall(r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>', page)
        words = [Word(*map(float, row[:4]), html.unescape(row[4])) for row in rows]
        lines = []
        for word in sorted(words, key=lambda word: word.baseline):
            if lines and word.baseline - lines[-1][0].baseline <= BASELINE_PT:
                lines[-1].append(word)
            else:
                lines.append([word])
        found.append([Line(number, line) for line in lines])
    return found


def without_feet(pages):
    """All lines in order, without those at the foot, which must number the pages."""
    kept, margin = [], min((line.x0 for page in pages for line in page), default=0)
    for number, page in enumerate(pages, 1):
        at = [i for i, line in enumerate(page) if str(line).endswith(f"page {number} of {len(pages)}")]
        if not at:
            raise ValueError(f"page {number} is not numbered as one of {len(pages)}")
        kept += page[: at[-1]]
    return kept, margin


def split(lines, em):
    """(heading, lines below it) for each heading of this size; what stands before the first is left out."""
    parts, was_heading = [], False
    for line in lines:
        is_heading = abs(line.em - em) < 0.01 * em
        if is_heading and was_heading:
            parts[-1] = (f"{parts[-1][0]} {line}", parts[-1][1])
        elif is_heading:
            parts.append((str(line), []))
        elif parts:
            parts[-1][1].append(line)
        was_heading = is_heading
    return parts


def rows(lines, head):
    """A table's rows: (cells by column, notes below). A row begins where the first column is not empty; `head` names the columns."""
    found, columns = [], None
    for line in lines:
        named = [text for _, text in line.cells()]
        if named == [name for name in head if name]:
            columns = [x0 for x0, _ in line.cells()]
            if not head[0]:
                columns.insert(0, min(other.x0 for other in lines))
            continue
        if columns is None:
            continue
        cells = [[] for _ in columns]
        for word in line.words:
            column = max(i for i, x0 in enumerate(columns) if i == 0 or x0 <= word.x0 + COLUMN_PT)
            cells[column].append(word.text)
        texts = [" ".join(cell) for cell in cells]
        if abs(line.x0 - columns[0]) <= COLUMN_PT and (texts[1] or not found):
            found.append((texts, []))
        elif found:
            found[-1][1].append((texts, str(line)))
    return found
