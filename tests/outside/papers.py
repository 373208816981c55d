"""Compares sheetwright's paper formats with the tables of four general-purpose libraries.

    sheetwright papers --format json | python papers.py
    python papers.py papers.json

The input is a list of {"name", "width_mm", "height_mm", "standard", "tolerance_mm"}. Every size is compared short side with
short side. A library's known mistakes are listed with the reason; any other difference fails, and so does a known mistake
that is gone, so that the list stays true. Exit code 0 if all agree, 1 if not, 2 if the input is no such list.
"""

import json
import sys
from importlib.metadata import version

# fpdf2 keeps sizes to 1/100 of a point: half of that is 0.0018 mm.
TOLERANCE_MM = 0.002
MM_PER_POINT = 25.4 / 72

KNOWN_DISAGREEMENTS = {
    ("reportlab", "na_invoice_5.5x8.5in"): ((139.7, 203.2), "HALF_LETTER is 5.5 x 8 in there; half of 8.5 x 11 is 5.5 x 8.5"),
    ("reportlab", "na_govt-letter_8x10in"): ((203.2, 266.7), "8 x 10.5 in there; PWG 5101.1 names 8 x 10, and both are in use"),
    ("papersize", "iso_b4_250x353mm"): ((250.0, 352.0), "352 there; ISO 216 halves 707 to 353, rounded down"),
    ("papersize", "na_executive_7.25x10.5in"): ((177.8, 254.0), "7 x 10 in there; PWG 5101.1 has 7.25 x 10.5"),
    ("papersizes", "iso_dl_110x220mm"): ((100.0, 220.0), "220 x 100 there; ISO 269 has 110 x 220"),
    ("papersizes", "na_monarch_3.875x7.5in"): ((184.15, 266.7), "the letterhead of that name there, not the envelope"),
}


def series(prefix, letters, sizes):
    """Returns {library name: PWG name} for a series of sizes in mm, largest first."""
    return {f"{letters}{n}": f"{prefix}{n}_{size}mm" for n, size in enumerate(sizes.split())}


ISO_A = "841x1189 594x841 420x594 297x420 210x297 148x210 105x148 74x105 52x74 37x52 26x37"
ISO_B = "1000x1414 707x1000 500x707 353x500 250x353 176x250 125x176 88x125 62x88 44x62 31x44"
ISO_C = "917x1297 648x917 458x648 324x458 229x324 162x229 114x162 81x114 57x81 40x57 28x40"
JIS_B = "1030x1456 728x1030 515x728 364x515 257x364 182x257 128x182 91x128 64x91 45x64 32x45"
RA = "860x1220 610x860 430x610 305x430 215x305"
SRA = "900x1280 640x900 450x640 320x450 225x320"
ISO = {**series("iso_a", "A", ISO_A), **series("iso_b", "B", ISO_B), **series("iso_c", "C", ISO_C)}
UNTRIMMED_AND_JIS = {**series("iso_ra", "RA", RA), **series("iso_sra", "SRA", SRA), **series("jis_b", "JIS_B", JIS_B)}

REPORTLAB_NAMES = {
    **ISO,
    "LETTER": "na_letter_8.5x11in",
    "LEGAL": "na_legal_8.5x14in",
    "TABLOID": "na_ledger_11x17in",
    "LEDGER": "na_ledger_11x17in",
    "HALF_LETTER": "na_invoice_5.5x8.5in",
    "GOV_LETTER": "na_govt-letter_8x10in",
    "JUNIOR_LEGAL": "na_index-5x8_5x8in",
}
FPDF_NAMES = {name.lower(): ISO[name] for name in ("A3", "A4", "A5")} | {
    "letter": "na_letter_8.5x11in",
    "legal": "na_legal_8.5x14in",
}
PAPERSIZE_NAMES = {name.lower(): pwg for name, pwg in ISO.items()} | {
    "letter": "na_letter_8.5x11in",
    "legal": "na_legal_8.5x14in",
    "tabloid": "na_ledger_11x17in",
    "ledger": "na_ledger_11x17in",
    "statement": "na_invoice_5.5x8.5in",
    "halfletter": "na_invoice_5.5x8.5in",
    "executive": "na_executive_7.25x10.5in",
    "governmentletter": "na_govt-letter_8x10in",
    "archa": "na_arch-a_9x12in",
    "archb": "na_arch-b_12x18in",
    "juniorlegal": "na_index-5x8_5x8in",
}
PAPERSIZES_NAMES = {
    **ISO,
    **UNTRIMMED_AND_JIS,
    "DL": "iso_dl_110x220mm",
    "LETTER": "na_letter_8.5x11in",
    "LEGAL": "na_legal_8.5x14in",
    "LEDGER": "na_ledger_11x17in",
    "HALF_LETTER": "na_invoice_5.5x8.5in",
    "EXECUTIVE": "na_executive_7.25x10.5in",
    "ANSI_A": "na_letter_8.5x11in",
    "ANSI_B": "na_ledger_11x17in",
    "ANSI_C": "na_c_17x22in",
    "ANSI_D": "na_d_22x34in",
    "ANSI_E": "na_e_34x44in",
    "ARCH_A": "na_arch-a_9x12in",
    "ARCH_B": "na_arch-b_12x18in",
    "SUPER_B": "na_super-b_13x19in",
    "INDEX_CARD_5X3": "na_index-3x5_3x5in",
    "INDEX_CARD_6X4": "na_index-4x6_4x6in",
    "INDEX_CARD_8X5": "na_index-5x8_5x8in",
    "MONARCH": "na_monarch_3.875x7.5in",
}


def points_to_mm(size):
    return tuple(float(side) * MM_PER_POINT for side in size)


def library_sizes():
    """Yields (library, its name for the size, PWG name, its size in mm)."""
    import papersize
    import papersizes
    from fpdf.fpdf import PAGE_FORMATS
    from reportlab.lib import pagesizes

    for name, pwg in REPORTLAB_NAMES.items():
        yield "reportlab", name, pwg, points_to_mm(getattr(pagesizes, name))
    for name, pwg in FPDF_NAMES.items():
        yield "fpdf2", name, pwg, points_to_mm(PAGE_FORMATS[name])
    for name, pwg in PAPERSIZE_NAMES.items():
        yield "papersize", name, pwg, tuple(map(float, papersize.parse_papersize(name, "mm")))
    for name, pwg in PAPERSIZES_NAMES.items():
        yield "papersizes", name, pwg, points_to_mm(getattr(papersizes, name))


def is_near(size, other):
    return all(abs(a - b) <= TOLERANCE_MM for a, b in zip(sorted(size), sorted(other)))


def compare(ours):
    """Returns (sizes compared by library, known disagreements met, problems)."""
    compared, met, problems = {}, set(), []
    for library, name, pwg, size in library_sizes():
        compared[library] = compared.get(library, 0) + 1
        known_size, _ = KNOWN_DISAGREEMENTS.get((library, pwg), (None, None))
        is_known = known_size is not None and is_near(size, known_size)
        if is_known:
            met.add((library, pwg))
        if pwg not in ours:
            problems.append(f"{pwg}: not in the list ({library} has it as {name})")
        elif not is_known and not is_near(size, ours[pwg]):
            problems.append(f"{pwg}: {ours[pwg]} mm here, {size} mm as {name} in {library}")
    problems += [f"{pwg}: {library} no longer disagrees" for library, pwg in sorted(KNOWN_DISAGREEMENTS.keys() - met)]
    return compared, met, problems


def read_formats(argv):
    """Returns {PWG name: (width, height) in mm} from the named file or from standard input."""
    with open(argv[1], encoding="utf-8") if len(argv) > 1 else sys.stdin as source:
        rows = json.load(source)
    for row in rows:
        if not row["standard"] or "tolerance_mm" not in row:
            raise KeyError(f"standard or tolerance_mm of {row['name']}")
    return {row["name"]: (row["width_mm"], row["height_mm"]) for row in rows}


def main(argv):
    try:
        ours = read_formats(argv)
    except (OSError, ValueError, KeyError, TypeError) as error:
        print(f"the list of formats cannot be read: {error!r}", file=sys.stderr)
        return 2
    compared, met, problems = compare(ours)
    for library, pwg in sorted(met):
        print(f"known: {library}: {pwg}: {KNOWN_DISAGREEMENTS[library, pwg][1]}")
    for problem in problems:
        print(f"DIFFERS: {problem}")
    counts = ", ".join(f"{library} {version(library)}: {count}" for library, count in sorted(compared.items()))
    print(
        f"papers: {len(ours)} formats; sizes compared with {counts}; "
        f"{len(met)} known disagreements, {len(problems)} others"
    )
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv))
