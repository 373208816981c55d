#!/usr/bin/env python3
"""Writes down what the pages for the table say, from their text alone, and compares it with the plan beside them.

    handout_pages.py DIR              DIR holds instructions.pdf, kit.pdf and plan.json as made
    handout_pages.py --write DIR      besides, prints what was read
    handout_pages.py --self-test DIR  besides, changes one thing at a time in the plan, each of which has to be reported

From instructions.pdf: each piece's size, count, creases (where from which edge, which way, how often), face up, turns, layers, and the
gluing order, steps, tools and cautions. From kit.pdf: the shopping lists, the kit list and the bag labels. Everything has to be as
`handout` in plan.json has it, and that as the sheets hold it (handout_numbers.py). Exit code 1 with every difference named.
"""

import copy
import json
import re
import string
import sys
from pathlib import Path

import handout_numbers
from handout_numbers import UNITS_MM, shown, typed
from page_text import pages, rows, split, without_feet

HEADING_EM, SUBHEADING_EM = 17.574, 13.322  # 6.2 and 4.7 mm
CAUTIONS = ["blades", "trimmers", "young makers", "sweets", "light", "heat cutting", "glue"]
LENGTH = r"-?(?:\d+(?:\.\d+)?(?: \d+/\d+)?|\d+/\d+) (?:in|mm)"
EDGES = "left|right|top|bottom"


class Unreadable(Exception):
    """The pages do not say it in any way that is understood here."""


def match(pattern, text):
    found = re.fullmatch(pattern, text)
    if not found:
        raise Unreadable(f"cannot read: {text!r}")
    return found


def letters(position):
    """A to Z, then AA, AB."""
    name = string.ascii_uppercase[position % 26]
    return name if position < 26 else letters(position // 26 - 1) + name


def pair(text):
    """`5 1/2 x 4.525 in` as two lengths."""
    width, height, unit = match(r"(.+) x (.+) (in|mm)", text).groups()
    return [f"{width} {unit}", f"{height} {unit}"]


def cut_list(lines):
    """By letter: name, count and size of each piece."""
    found = {}
    for (letter, name, count, _, size, _), below in rows(lines, ["", "Piece", "How many", "Paper", "Width x height", "Front"]):
        notes = " ".join(text for _, text in below)
        rough = re.search(rf"cut to (.+? x .+? (?:in|mm)) first", notes)
        have = re.search(r"(\d+) of the (\d+) for all copies (?:are made already|come out of passes)", notes)
        found[letter] = {
            "name": name,
            "per_copy": int(match(r"(\d+)", count)[1]),
            "size": pair(size),
            "rough": pair(rough[1]) if rough else None,
            "is_rectangle": "outer size" not in notes,
            "have": (int(have[1]), int(have[2])) if have else None,
        }
    return found


def drawings(lines):
    """By letter: scale and face, and all stretches of words of a drawing."""
    found = {}
    for heading, below in split(lines, SUBHEADING_EM):
        letter, name = match(r"([A-Z]+) (.+)", heading).groups()
        told = match(r"drawn (\d+:[\d.]+), (front|back)(?: \(.+\))? up", str(below[0]))
        words = [[word.text for word in line.words] for line in below[1:]]
        cells = [text for line in below[1:] for _, text in line.cells()]
        found[letter] = {"name": name, "scale": told[1], "face": told[2], "words": words, "cells": cells}
    return found


def is_beside(drawing, number, at):
    """Whether a drawing shows the number of a score beside its distance."""
    at = at.rsplit(" ", 1)[0].split()
    wanted = [[str(number), *at], [*at, str(number)]]
    runs = (words[i : i + len(wanted[0])] for words in drawing["words"] for i in range(len(words)))
    return any(run in wanted for run in runs)


def score(cells, notes, turned):
    number = int(match(r"score (\d+)", cells[0])[1])
    fence, at = match(rf"from the ({EDGES}) edge at ({LENGTH})", cells[1]).groups()
    span = re.search(rf"only from ({LENGTH}) to ({LENGTH}), measured from the (left|top) edge", notes)
    far = re.search(rf"turn the piece end for end and set ({LENGTH})", notes)
    return {
        "number": number,
        "fence": fence,
        "at": at,
        "fold": cells[2],
        "degrees": int(match(r"(\d+)°", cells[3])[1]),
        "again": {"once": False, "twice": True}[cells[4]],
        "board": cells[5] if len(cells) > 5 else "",
        "far_end": far[1] if far else None,
        "span": [span[1], span[2]] if span else None,
        "turned": turned,
    }


def scoring_list(lines):
    """By letter: the face up and the scores in order, with the turns between them."""
    found = {}
    for heading, below in split(lines, SUBHEADING_EM):
        letter, name = match(r"([A-Z]+) (.+)", heading).groups()
        face = match(r"Score it with this face up: (front|back)(?: \(.+\))?\.", str(below[0]))
        head = ["Score", "Set", "Fold", "Folds by", "Times"]
        table = rows(below, head) or rows(below, [*head, "Board"])
        scores, turned = [], None
        for cells, notes in table:
            notes = " ".join(text for _, text in notes)
            scores.append(score(cells, notes, turned))
            turn = re.search(rf"Turn the piece, the same face up: now the ({EDGES}) edge lies at the fence", notes)
            turned = turn[1] if turn else None
        rounded = re.search(rf"rounded to the rule by ({LENGTH}) at most", " ".join(map(str, below)))
        free = any(str(line).startswith("Not all creases lie along an edge") for line in below)
        found[letter] = {"name": name, "face": face[1], "by_fence": not free, "scores": scores, "rounded": rounded[1] if rounded else None}
    return found


def items(lines, margin):
    """Lines of a list, each with those that stand in below it."""
    found = []
    for line in lines:
        if line.x0 <= margin + 1:
            found.append(str(line))
        elif found:
            found[-1] += f" {line}"
    return found


def layer(text):
    pattern = rf"([A-Z]+) (.+) on ([A-Z]+) ([^:]+?): (?:glued flat|on foam pads, ({LENGTH}) above it)(, oversize, then trimmed flush)? leaves a border(?: of ({LENGTH}) all round|: (.+))"
    letter, name, below, on, standoff, trimmed, round, shows = match(pattern, text).groups()
    sides = [(round, None)] * 4 if round else [match(rf"{side} ({LENGTH})( over)?", part).groups() for side, part in zip(["top", "right", "bottom", "left"], shows.split(", "), strict=True)]
    shown = [f"-{length}" if over else length for length, over in sides]
    return letter, {"name": name, "below": below, "on": on, "standoff": standoff, "trim_flush": bool(trimmed), "shows": shown}


def glueing(text):
    pattern = r"(\d+)\. (?:(.+): )?glue the (front|back|outside|inside) of (.+) to the (front|back|outside|inside) of (.+?)(?:, with (.+))?"
    number, of, from_face, own, to_face, to, how = match(pattern, text).groups()
    own, to = [f"{of}, {panel}" if of else panel for panel in (own, to)]
    return {"number": int(number), "from": own, "from_face": from_face, "to": to, "to_face": to_face, "with": how}


def steps(lines, margin):
    found = []
    for line in lines:
        (x0, text), *_ = line.cells()
        head = re.fullmatch(r"Step (\d+)", text) or re.fullmatch(r"Step (\d+) (.*)", str(line))
        if abs(line.em - SUBHEADING_EM) < 0.1 and head:
            facts = str(line).removeprefix(f"Step {head[1]} ").split(" · ")
            minutes = int(match(r"(\d+) min", facts[1])[1]) if len(facts) > 1 else None
            found.append({"number": int(head[1]), "when": facts[0], "minutes": minutes, "text": ""})
        elif found and x0 <= margin + 1:
            found[-1]["text"] = f"{found[-1]['text']} {text}".strip()
    return found


def read_instructions(path):
    lines, margin = without_feet(pages(path))
    parts = dict(split(lines, HEADING_EM))
    tools = [below for heading, below in split(parts.get("What you need", []), SUBHEADING_EM) if heading == "Tools"]
    return {
        "cut_list": cut_list(parts["Cut list, for one"]),
        "drawings": drawings(parts["The pieces, drawn to scale"]),
        "scores": scoring_list(parts.get("Scoring list", [])),
        "layers": dict(map(layer, items(parts.get("Layers", []), margin))),
        "steps": steps(parts.get("Steps", []), margin),
        "cautions": [text for line in parts.get("Please mind", []) if (text := str(line).lower()) in CAUTIONS],
        "gluing": [glueing(text) for text in items(parts.get("Gluing order", []), margin)],
        "tools": [text for below in tools for text in in_columns(below)],
        **cost(parts.get("Cost", [])),
    }


def in_columns(lines):
    """Words side by side, read down each column."""
    cells = [cell for line in lines for cell in line.cells()]
    return [text for _, text in sorted(cells, key=lambda cell: round(cell[0]))]


def cost(lines):
    """Rows of the table, and what is said to have no price."""
    ends = next((i for i, line in enumerate(lines) if str(line).startswith(("not counted", "As used up", "price ="))), len(lines))
    head = next(([text for _, text in line.cells()] for line in lines if str(line).startswith("For one")), [])
    without = re.search(r"not counted, for want of a price: (.+)", " ".join(map(str, lines[ends:])))
    return {"cost": [cells for cells, _ in rows(lines[:ends], ["", *head])], "unpriced": without[1].split(" price = ")[0] if without else ""}


def wrapped(table):
    """Rows whose cells run over several lines."""
    return [[" ".join(filter(None, parts)) for parts in zip(cells, *(texts for texts, _ in below))] for cells, below in table]


def read_kit(path):
    lines, margin = without_feet(pages(path))
    lists, kit, labels = [], None, []
    for heading, below in split(lines, HEADING_EM):
        if heading.startswith("To buy for"):
            ends = next((i for i, line in enumerate(below) if str(line).startswith("In all: ")), len(below))
            sums = str(below[ends]).removeprefix("In all: ") if ends < len(below) else None
            table = wrapped(rows(below[:ends], ["What", "Needed", "On hand", "Buy", "Price"]))
            lists.append({"for": heading, "rows": table, "sums": sums})
        elif heading == "Into each bag":
            head = ["Each", "What", "Paper"]
            kit = wrapped(rows(below, head) or rows(below, [*head, "For"]))
        elif heading.startswith("Bag labels"):
            labels = below
    return {"lists": lists, "kit": kit, "labels": columns(labels)}


def columns(lines):
    """Words of labels side by side, read down each column."""
    halves = {}
    for line in lines:
        for x0, text in line.cells():
            half = next((key for key in halves if key[0] == line.page and abs(key[1] - x0) < 5), (line.page, x0))
            halves.setdefault(half, []).append(text)
    return [" ".join(texts) for texts in halves.values()]


class Differences:
    """What pages and plan say differently."""

    def __init__(self):
        self.found, self.count = [], 0

    def same(self, what, told, planned):
        self.count += 1
        if told != planned:
            self.found.append(f"{what}: the page says {told!r}, the plan {planned!r}")

    def lengths(self, what, told, planned):
        """Printed lengths against a plan's, whose text must say its own number."""
        told, planned = told or [], planned or []
        self.same(f"{what}, how many lengths", len(told), len(planned))
        for text, length in zip(told, planned):
            self.count += 1
            shown(length, what)
            if typed(text) != typed(length["text"]):
                self.found.append(f"{what}: the page says {text}, the plan {length['text']}")


def compare_pieces(diff, page, plan):
    entries = plan["handout"]["pieces"]
    by_letter = {letters(i): entry for i, entry in enumerate(entries)}
    diff.same("pieces of the cut list", list(page["cut_list"]), list(by_letter))
    diff.same("pieces drawn", list(page["drawings"]), list(by_letter))
    letter_of = {entry["piece"]: letter for letter, entry in by_letter.items()}
    layered = [letter for letter, entry in by_letter.items() if entry.get("layer")]
    diff.same("pieces in layers", list(page["layers"]), layered)
    for letter, entry in by_letter.items():
        if letter in page["cut_list"] and letter in page["drawings"]:
            compare_piece(diff, page, letter, entry)
        if letter in page["layers"] and entry.get("layer"):
            compare_layer(diff, page["layers"][letter], letter, entry, by_letter, letter_of)


def compare_piece(diff, page, letter, entry):
    name, row, drawing = entry["name"], page["cut_list"][letter], page["drawings"][letter]
    diff.same(f"{letter} in the cut list", row["name"], name)
    diff.same(f"{letter} as drawn", drawing["name"], name)
    diff.same(f"{name}, how many", row["per_copy"], entry["per_copy"])
    diff.lengths(f"{name}, size", row["size"], entry["size"])
    diff.lengths(f"{name}, first cut to", row["rough"], entry.get("rough"))
    diff.same(f"{name}, rectangle", row["is_rectangle"], entry["is_rectangle"])
    diff.same(f"{name}, there already", row["have"], (entry["have"], entry["wanted"]) if entry["have"] else None)
    diff.same(f"{name}, face drawn", drawing["face"], entry["scored_face"])
    for side in entry.get("rough") or entry["size"]:
        diff.same(f"{name}, {side['text']} at its drawing", side["text"] in drawing["cells"], True)
    for score in entry["scores"]:
        told = is_beside(drawing, score["number"], score["at"]["text"])
        diff.same(f"{name}, score {score['number']} with {score['at']['text']} at its drawing", told, True)
    told = page["scores"].get(letter)
    if entry["scores"] or not entry["by_fence"]:
        diff.same(f"{name}, in the scoring list", told is not None, True)
    if told:
        diff.same(f"{name}, named there", told["name"], name)
        diff.same(f"{name}, face up", told["face"], entry["scored_face"])
        diff.same(f"{name}, by fence", told["by_fence"], entry["by_fence"])
        diff.same(f"{name}, scores", [s["number"] for s in told["scores"]], [s["number"] for s in entry["scores"]])
        most = max((abs(s["off_mm"]) for s in entry["scores"]), default=0.0)
        diff.same(f"{name}, rounded by", round(float(typed(told["rounded"] or "0 mm")), 3), round(most, 3))
        before = None
        for own, planned in zip(told["scores"], entry["scores"]):
            compare_score(diff, f"{name}, score {planned['number']}", own, planned, before)
            before = planned["fence"]


def compare_score(diff, what, told, planned, before):
    diff.same(f"{what}, edge", told["fence"], planned["fence"])
    diff.lengths(f"{what}, distance", [told["at"]], [planned["at"]])
    diff.same(f"{what}, fold", told["fold"], planned["fold"])
    diff.same(f"{what}, degrees", told["degrees"], planned["folds_to_deg"])
    diff.same(f"{what}, again", told["again"], planned["again"])
    diff.lengths(f"{what}, ends", told["span"], planned.get("span"))
    turned = planned["fence"] if before not in (None, planned["fence"]) else None
    diff.same(f"{what}, turned before to the edge", told["turned"], turned)
    fit = planned.get("groove") or {"fit": "none"}
    boards = {"none": "", "in": "in a groove", "between": "no groove", "from-far-end": "from the far end", "beyond-reach": "by rule"}
    diff.same(f"{what}, board", told["board"], boards[fit["fit"]])
    if fit["fit"] == "from-far-end":
        diff.lengths(f"{what}, from the far end", [told["far_end"]], [fit["at"]])


def compare_layer(diff, told, letter, entry, by_letter, letter_of):
    layer, name = entry["layer"], entry["name"]
    diff.same(f"{letter} in the layers", told["name"], name)
    diff.same(f"{name}, on", told["below"], letter_of[layer["on"]])
    on = by_letter[letter_of[layer["on"]]]["name"]
    diff.same(f"{name}, on", told["on"], f"{on}, {panel_name(layer['panel'])}" if layer.get("panel") else on)
    diff.lengths(f"{name}, what shows around it", told["shows"], layer["shows"])
    flat = layer["standoff"]["mm"] == 0
    diff.lengths(f"{name}, above it", [told["standoff"]] if told["standoff"] else [], [] if flat else [layer["standoff"]])
    diff.same(f"{name}, trimmed flush", told["trim_flush"], layer["trim_flush"])


def panel_name(panel):
    return f"panel {panel}" if panel.isdigit() else panel


def called(handout, surface, face):
    """`outside` or `inside` of what is folded, else the face's name."""
    of = [p for p in handout["pieces"] if re.fullmatch(rf"{re.escape(p['name'])}( \d+)?(, .+)?", surface)]
    piece = max(of, key=lambda p: len(p["name"]))
    if not piece["scores"] and piece["by_fence"]:
        return face
    return "outside" if piece["scored_face"] == face else "inside"


def compare_work(diff, page, handout):
    planned = [{key: g[key] for key in ("number", "from", "from_face", "to", "to_face")} | {"with": g.get("with")} for g in handout["gluing"]]
    for g in planned:
        g["from_face"], g["to_face"] = (called(handout, g[side], g[f"{side}_face"]) for side in ("from", "to"))
    diff.same("how many are glued", len(page["gluing"]), len(planned))
    for told, own in zip(page["gluing"], planned):
        diff.same(f"gluing {own['number']}", told, own)
    diff.same("how many steps", len(page["steps"]), len(handout["steps"]))
    for told, own in zip(page["steps"], handout["steps"]):
        planned = {key: own[key] for key in ("number", "when", "minutes")}
        diff.same(f"step {own['number']}", told, {**planned, "text": " ".join(own["text"].split())})
    diff.same("cautions", page["cautions"], handout["cautions"])
    diff.same("tools", " ".join(page["tools"]), " ".join(handout["tools"]))
    diff.same("cost", page["cost"], cost_rows(handout.get("cost")))
    diff.same("without a price", page["unpriced"], ", ".join((handout.get("cost") or {}).get("unpriced", [])))


def cost_rows(cost):
    if not cost:
        return []
    names = {"materials": "paper and other things", "minutes": "time", "work": "work", "overhead": "overhead", "asks": "price to ask"}
    found = []
    for key, name in names.items():
        of = [cost[whose].get(key) for whose in ("one", "all")]
        if of != [None, None]:
            texts = ["" if value is None else f"{value} min" if key == "minutes" else value for value in of]
            found.append([name, *texts])
    return found


def amount(text):
    """`25 x 16 in` as 25 and 406.4; `3 sheets` and `12` as a count alone."""
    if not text:
        return 0, None
    found = match(rf"(\d+)(?: sheets?)?(?: x ({LENGTH}))?", text)
    return int(found[1]), round(float(typed(found[2])), 3) if found[2] else None


def bought(text):
    """How many sheets, packs, lengths or things."""
    return 0 if text == "nothing" else int(match(r"(\d+)(?: (?:sheets?|packs? of .+|x .+))?", text)[1])


def compare_kit(diff, kit, handout):
    diff.same("how many shopping lists", len(kit["lists"]), len(handout["shopping"]))
    for told, own in zip(kit["lists"], handout["shopping"]):
        compare_list(diff, told, own)
    rows = [[line["each"], line["name"], line.get("of") or ""] for line in handout["kit"]]
    diff.same("what goes into each bag", [row[:3] for row in kit["kit"] or []], rows)
    compare_labels(diff, kit["labels"], handout["bags"])


def compare_list(diff, told, own):
    copies = match(r"To buy for(?: (.+):)? (\d+) cop(?:y|ies)(?: and (\d+) spares?)?", told["for"])
    what = f"list for {copies[1] or 'all'}"
    diff.same(f"{what}, copies", (int(copies[2]), int(copies[3] or 0)), (own["copies"], own["spares"]))
    diff.same(f"{what}, rows", len(told["rows"]), len(own["paper"]) + len(own["supplies"]))
    papers = told["rows"][: len(own["paper"])]
    for (name, needs, there, buy, price), paper in zip(papers, own["paper"]):
        offcuts = re.search(r"(?:and )?(\d+) offcuts?", needs)
        diff.same(f"{what}, {name}, offcuts", int(offcuts[1]) if offcuts else 0, paper["offcuts"])
        sheets = re.search(r"(\d+) sheets?", needs)
        diff.same(f"{what}, {name}, sheets", int(sheets[1]) if sheets else 0, paper["takes"] + paper["lacks"])
        there = re.search(r"(\d+) sheets?", there)
        diff.same(f"{what}, {name}, on hand", int(there[1]) if there else 0, paper["on_hand"])
        diff.same(f"{what}, {name}, to buy", bought(buy), paper["buy"])
        diff.same(f"{what}, {name}, price", price, paper["price"] or "" if paper["buy"] else "")
    for (name, needs, there, buy, price), supply in zip(told["rows"][len(papers) :], own["supplies"]):
        each = supply.get("each_mm")
        diff.same(f"{what}, {name}, needed", amount(needs), (supply["needs"], each and round(each, 3)))
        diff.same(f"{what}, {name}, on hand", amount(there)[0], supply["on_hand"])
        diff.same(f"{what}, {name}, to buy", bought(buy), supply["buy"])
        diff.same(f"{what}, {name}, price", price, supply["price"] or "" if supply["buy"] else "")
    diff.same(f"{what}, sum", told["sums"], " and ".join(own["sums"]) or None)


def compare_labels(diff, columns, bags):
    diff.same("how many bag labels", sum(len(re.findall(r"bag \d+ of \d+", text)) for text in columns), sum(b["bags"] for b in bags))
    for own in bags:
        holds = " ".join(own["holds"])
        for number in range(1, own["bags"] + 1):
            told = re.compile(rf"{re.escape(own['title'])} (?:[^,]+, )?bag {number} of {own['bags']} {re.escape(holds)}(?!\S)")
            diff.same(f"label of bag {number} {own['edition']}", sum(len(told.findall(text)) for text in columns) >= 1, True)


def differences(page, kit, plan):
    diff = Differences()
    compare_pieces(diff, page, plan)
    compare_work(diff, page, plan["handout"])
    if kit:
        compare_kit(diff, kit, plan["handout"])
    return diff


def damages(plan):
    """One plan for each thing that can be changed in it."""

    def changed(change):
        damaged = copy.deepcopy(plan)
        try:
            change(damaged["handout"])
        except (StopIteration, IndexError):
            return None
        return damaged

    def scored(handout):
        return next(entry for entry in handout["pieces"] if entry["scores"])

    def shift(length, mm):
        unit = length["text"].split()[-1]
        length["mm"] += mm
        length["text"] = f"{length['mm'] / float(UNITS_MM[unit]):.4f} {unit}"

    def swap(order, keys):
        at = next(i for i in range(len(order) - 1) if any(order[i][key] != order[i + 1][key] for key in keys))
        for key in keys:
            order[at][key], order[at + 1][key] = order[at + 1][key], order[at][key]

    def other(entry, key, one, two):
        entry[key] = two if entry[key] == one else one

    yield "a crease by 1/16 in", changed(lambda h: shift(scored(h)["scores"][-1]["at"], 25.4 / 16))
    yield "a crease from the other edge", changed(lambda h: other(scored(h)["scores"][0], "fence", "left", "right"))
    yield "a crease the other way", changed(lambda h: other(scored(h)["scores"][0], "fold", "mountain", "valley"))
    yield "a crease folded less", changed(lambda h: scored(h)["scores"][0].update(folds_to_deg=45))
    yield "a crease left out", changed(lambda h: scored(h)["scores"].pop())
    yield "a size by 1/16 in", changed(lambda h: shift(h["pieces"][-1]["size"][1], 25.4 / 16))
    yield "a count", changed(lambda h: h["pieces"][-1].update(per_copy=h["pieces"][-1]["per_copy"] + 1))
    yield "a face up", changed(lambda h: other(scored(h), "scored_face", "front", "back"))
    yield "a face drawn", changed(lambda h: other(h["pieces"][0], "scored_face", "front", "back"))
    yield "two gluing steps swapped", changed(lambda h: swap(h["gluing"], ["from", "to"]))
    yield "a glued face", changed(lambda h: other(h["gluing"][0], "from_face", "front", "back"))
    yield "a gluing step left out", changed(lambda h: h["gluing"].pop())
    yield "a step's minutes", changed(lambda h: h["steps"][0].update(minutes=59))
    yield "two steps swapped", changed(lambda h: swap(h["steps"], ["text"]))
    yield "a caution more", changed(lambda h: h["cautions"].append("light"))
    yield "a layer by 1/16 in", changed(lambda h: shift(next(e for e in h["pieces"] if e.get("layer"))["layer"]["shows"][1], 25.4 / 16))
    yield "sheets to buy", changed(lambda h: h["shopping"][0]["paper"][0].update(buy=77))
    yield "sheets needed", changed(lambda h: h["shopping"][0]["paper"][0].update(takes=77))
    yield "a supply's length", changed(lambda h: next(s for s in h["shopping"][0]["supplies"] if s.get("each_mm")).update(each_mm=77.0))
    yield "a supply's count", changed(lambda h: h["shopping"][0]["supplies"][0].update(needs=7777))
    yield "a sum", changed(lambda h: h["shopping"][0].update(sums=["77.00 EUR"]))
    yield "the kit list", changed(lambda h: h["kit"][0].update(each="77"))
    yield "a bag more", changed(lambda h: h["bags"][0].update(bags=h["bags"][0]["bags"] + 1))
    yield "what a bag holds", changed(lambda h: h["bags"][0]["holds"].append("1 x Spare part"))


def self_test(page, kit, plan):
    for kind, damaged in damages(plan):
        if damaged is None:
            continue
        diff = differences(page, kit, damaged)
        if not diff.found:
            sys.exit(f"not reported: {kind}")
        print(f"reported: {kind}: {diff.found[0]}")


def main():
    arguments = sys.argv[1:]
    folder = Path(arguments[-1])
    plan = json.loads((folder / "plan.json").read_text())
    page = read_instructions(folder / "instructions.pdf")
    kit = read_kit(folder / "kit.pdf") if (folder / "kit.pdf").exists() else None
    if "--write" in arguments:
        print(json.dumps([page, kit], indent=1, ensure_ascii=False))
    diff = differences(page, kit, plan)
    if diff.found:
        sys.exit("\n".join([f"{folder}:", *diff.found]))
    handout_numbers.check(plan)
    print(f"{len(page['cut_list'])} pieces, {diff.count} things read, no difference")
    if "--self-test" in arguments:
        self_test(page, kit, plan)


if __name__ == "__main__":
    main()
