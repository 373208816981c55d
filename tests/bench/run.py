#!/usr/bin/env python3
"""Runs the layout engine and a solver library on the same benchmark instances, one after the other, and judges what the engine made.

    run.py INSTANCES [--only GROUP,...] [--effort quick|usual|long] [--without-reference]

INSTANCES is a folder with the folders `rect`, `papercraft` and `poly_bin`. Prints tables as Markdown, which also stand in
`target/bench/table.md`. Groups: rect, rect-upright, trimmer, machine, poly, jigsaw, offcuts, layouts, others.

Builds the engine itself. For the library and the judge it looks for Python 3.12 or newer and makes itself an environment under
`target/bench`; if there is none it says so, runs the engine alone and judges nothing. Times mean something on an idle machine only.
"""

import argparse
import json
import os
import pathlib
import shutil
import subprocess
import sys

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
OUT = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "bench"

# Sheets the engine must not exceed, and sheets it aims at. What must be reached, solver libraries were seen to reach; for the
# names of instances see the folder's own README.
BARS = {
    "trim_s1_letter_x24": (36, 35),
    "trim_s2_letter_x24": (36, 35),
    "trim_s1_12x12_x24": (22, 22),
    "trim_s1_12x12_x56": (52, 51),
    "trim_s1_12x12_x222": (203, 200),
    "mach_s1_letter_x5": (6, 6),
    "mach_s1_letter_x24": (25, 24),
    "mach_s1_12x12_x24": (16, 15),
    "mach_s1_12x12_x46": (33, 30),
    "mach_s1_12x12_x182": (130, 118),
    "scraps_s1_x8": (8, 7),
    "nest_albano_m_x5": (14, None),
    "nest_dagli_m_x5": (8, None),
    "nest_jakobs1_m_x5": (16, None),
    "nest_swim_s": (9, None),
}

# Name, folder, instances (all if none are named), seconds for the library, flags of the engine.
GROUPS = [
    ("rect", "rect", ["*"], 1, []),
    ("rect-upright", "rect", ["*"], 1, ["--no-turning"]),
    ("trimmer", "papercraft", [name for name in BARS if name.startswith("trim")], 20, []),
    ("machine", "papercraft", [name for name in BARS if name.startswith("mach")], 20, []),
    ("poly", "poly_bin", [name for name in BARS if name.startswith("nest")], 20, []),
    ("jigsaw", "poly_bin", ["jig_*_loose"], 10, []),
    ("offcuts", "papercraft", ["scraps_s1_x8"], 60, []),
    ("layouts", "papercraft", ["trim_s1_letter_x24"], 0, ["--best", "layouts"]),
    # All that is left, so that every instance is judged.
    ("others", "p*", ["trim_*", "mach_*", "nest_*", "jig_*_full", "hide_*"], 0, []),
]

# The largest kit, for which the library has more time.
SLOW = {"mach_s1_12x12_x182": 120}


def say(line):
    print(line, file=sys.stderr, flush=True)


def engine():
    """Builds the engine and returns the path of its program."""
    command = ["cargo", "bench", "--bench", "layout", "--no-run", "--message-format=json"]
    built = subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE, text=True)
    messages = [json.loads(line) for line in built.stdout.splitlines()]
    return next(m["executable"] for m in messages if m.get("target", {}).get("name") == "layout" and m.get("executable"))


def environment():
    """The Python of an environment with what `requirements.txt` names; `None` if that cannot be had."""
    home = OUT / "venv"
    python = home / "bin" / "python"
    wanted = HERE / "requirements.txt"
    mark = home / "installed.txt"
    if mark.exists() and mark.read_text() == wanted.read_text():
        return python
    for candidate in candidates():
        made = subprocess.run([candidate, "-m", "venv", "--clear", home], capture_output=True)
        if made.returncode:
            continue
        pip = [python, "-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r", wanted]
        if subprocess.run(pip).returncode == 0:
            shutil.copy(wanted, mark)
            return python
    return None


def candidates():
    """Pythons from 3.12 on, in the path or where version managers put them."""
    names = [sys.executable, "python3", *(f"python3.{minor}" for minor in range(20, 11, -1))]
    paths = [path for path in map(shutil.which, names) if path]
    managers = pathlib.Path.home().glob(".*/versions/3.*/bin/python")
    for path in [*paths, *map(str, sorted(managers, reverse=True))]:
        test = "import sys; sys.exit(sys.version_info < (3, 12))"
        if subprocess.run([path, "-c", test], capture_output=True).returncode == 0:
            yield path


def run_engine(program, instance, group, flags):
    out = OUT / "ours" / group
    subprocess.run([program, instance, "--out", out, *flags], check=True, stdout=subprocess.DEVNULL)
    return json.loads((out / instance.name).read_text())


def run_reference(python, instance, seconds, flags):
    """What the library reached in so many seconds; `None` if it was not run or did not come back."""
    if python is None or not seconds:
        return None
    turning = [flag for flag in flags if flag == "--no-turning"]
    command = [python, HERE / "reference.py", instance, str(seconds), *turning]
    try:
        done = subprocess.run(command, capture_output=True, text=True, timeout=10 * seconds + 60)
        return json.loads(done.stdout)
    except (subprocess.TimeoutExpired, json.JSONDecodeError):
        return None


def compare(program, python, folder, group, effort):
    """One row for each instance of a group."""
    name, inside, patterns, seconds, flags = group
    files = sorted({file for pattern in patterns for file in folder.glob(f"{inside}/{pattern}.json")})
    if name == "others":
        files = [file for file in files if file.stem not in BARS]
    rows = []
    for file in files:
        instance = json.loads(file.read_text())
        ours = run_engine(program, file, name, [*flags, "--effort", effort])
        reference = run_reference(python, file, SLOW.get(file.stem, seconds), flags)
        row = {"instance": instance, "ours": ours, "reference": reference}
        if name == "trimmer":
            row["in_four_times"] = run_reference(python, file, max(4 * ours["seconds"], 1), flags)
        say(f"{name} {file.stem}: {ours['whole_sheets']}, the library {sheets(reference)}")
        rows.append(row)
    return rows


def sheets(reference):
    return "-" if reference is None or reference["sheets"] is None else reference["sheets"]


def best_known(row, is_turning):
    known = row["instance"].get("best_known_bins", {})
    way = "rotation" if is_turning else "oriented"
    return known.get(f"guillotine3_{way}")


def table(head, rows):
    lines = [head, ["---"] + ["---:"] * (len(head) - 1), *rows]
    return "\n".join("| " + " | ".join(str(cell) for cell in line) + " |" for line in lines) + "\n"


def whole_set(name, rows):
    """One table of sums over many instances."""
    known = [best_known(row, name == "rect") for row in rows]
    ours = [row["ours"]["whole_sheets"] for row in rows]
    theirs = [row["reference"] for row in rows]
    complete = [t["sheets"] for t in theirs if t and t["sheets"] is not None]
    over = [o - k for o, k in zip(ours, known)]
    bound = [row["ours"]["better_bound"] for row in rows]
    lines = [
        ("instances", len(rows)),
        ("area bound", sum(row["ours"]["area_bound"] for row in rows)),
        ("better bound", sum(bound)),
        ("best known, 3 stages", sum(known)),
        (f"reference, 1 s each ({len(complete)} complete)", sum(complete)),
        ("**ours**", f"**{sum(ours)}**"),
        ("proven best", sum(o == b for o, b in zip(ours, bound))),
        ("at best known, 1 more, 2 or more", f"{sum(d <= 0 for d in over)}, {sum(d == 1 for d in over)}, {sum(d > 1 for d in over)}"),
        ("our seconds, on the clock", f"{sum(row['ours']['seconds'] for row in rows):.0f}"),
        ("our seconds, of all processors", processors(rows)),
        ("reference's seconds", f"{sum(t['seconds'] for t in theirs if t):.0f}"),
    ]
    return table([name, "sum"], lines)


def processors(rows):
    used = [row["ours"]["processor_seconds"] for row in rows]
    return "-" if None in used else f"{sum(used):.0f}"


def one_by_one(name, rows):
    head = [name, "area bound", "better bound", "reference", "must", "aim", "ours", "s", "reference's s", "first s", "silence s", "MB", "layouts", "fence"]
    four = name == "trimmer"
    if four:
        head.insert(4, "reference in 4 x our s")
    lines = []
    for row in rows:
        ours, reference = row["ours"], row["reference"]
        must, aim = BARS.get(ours["instance"], (row["instance"].get("known_feasible_bins", "-"), None))
        left = sum(ours["leftovers"])
        is_proven = not left and ours["whole_sheets"] == ours["better_bound"]
        count = f"**{ours['whole_sheets']}**" + (" proven" if is_proven else "")
        line = [
            ours["instance"], ours["area_bound"], ours["better_bound"], sheets(reference), must, "-" if aim is None else aim,
            count + (f", {left} left over" if left else ""),
            f"{ours['seconds']:.1f}",
            f"{reference['seconds']:.1f}" if reference else "-",
            "-" if ours["first_seconds"] is None else f"{ours['first_seconds']:.2f}",
            f"{ours['longest_silence_seconds']:.2f}",
            "-" if ours["peak_megabytes"] is None else round(ours["peak_megabytes"]),
            ours["layouts"],
            ours["fence_settings"] if ours["edge_to_edge"] else "-",
        ]
        if four:
            line.insert(4, sheets(row["in_four_times"]))
        lines.append(line)
    if len(lines) > 1 and not four:
        known = [row["reference"]["sheets"] for row in rows if row["reference"] and row["reference"]["sheets"]]
        sums = [sum(row["ours"][key] for row in rows) for key in ("area_bound", "better_bound", "whole_sheets")]
        lines.append(["sum", sums[0], sums[1], sum(known) if len(known) == len(rows) else "-", "", "", f"**{sums[2]}**"] + [""] * 7)
    return table(head, lines)


def judged(python, folder, names):
    """The judge's last line for each group, and every violation."""
    if python is None:
        return "Not judged: no Python 3.12 with the libraries of requirements.txt.\n"
    folders = sorted({path for _, inside, *_ in GROUPS for path in folder.glob(inside)})
    lines = []
    for name in names:
        done = subprocess.run([python, HERE / "judge.py", OUT / "ours" / name, *folders], capture_output=True, text=True)
        lines += [f"{name}: {line}" for line in (done.stdout + done.stderr).splitlines()]
    return "".join(f"    {line}\n" for line in lines)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("instances", type=pathlib.Path)
    parser.add_argument("--only")
    parser.add_argument("--effort", default="usual")
    parser.add_argument("--without-reference", action="store_true")
    options = parser.parse_args()
    wanted = options.only.split(",") if options.only else [name for name, *_ in GROUPS]

    program, python = engine(), environment()
    if python is None:
        say("no Python 3.12 or newer with its libraries: the engine runs alone, and nothing is judged")
    reference = None if options.without_reference else python
    shutil.rmtree(OUT / "ours", ignore_errors=True)
    parts = [f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f} at the start, effort {options.effort}.\n"]
    run = []
    for group in GROUPS:
        name = group[0]
        rows = compare(program, reference, options.instances, group, options.effort) if name in wanted else []
        if rows:
            parts.append((whole_set if name.startswith("rect") else one_by_one)(name, rows))
            run.append(name)
    parts.append(judged(python, options.instances, run))
    text = "\n".join(parts)
    (OUT / "table.md").write_text(text)
    print(text, end="")


if __name__ == "__main__":
    main()
