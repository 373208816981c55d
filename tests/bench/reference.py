"""Solves one benchmark instance with a solver library, for comparison.

    reference.py INSTANCE SECONDS [--no-turning]

Prints what it reached as JSON: whole sheets (`null` if it placed not everything), its bound, and seconds.
"""

import json
import sys
import time

from packingsolver import irregular, rectangleguillotine

# Whole numbers to a unit: the library's guillotine sizes are whole.
STEPS = 1000


def guillotine(instance, seconds, turning):
    """Sheets cut from edge to edge, any number of stages. Pieces and sheet are grown by the gap."""
    gap = instance["gap"]
    builder = rectangleguillotine.InstanceBuilder()
    builder.set_objective(rectangleguillotine.Objective.BinPacking)
    builder.set_number_of_stages_unlimited()

    def size(length):
        return round((length + gap) * STEPS)

    pieces = sum(item["qty"] for item in instance["items"])
    builder.add_bin_type(size(instance["sheet"]["w"]), size(instance["sheet"]["h"]), copies=pieces)
    for item in instance["items"]:
        may_turn = item.get("rotate", turning)
        builder.add_item_type(size(item["w"]), size(item["h"]), copies=item["qty"], oriented=not may_turn)
    return solve(rectangleguillotine, builder, seconds)


def outlines(instance, seconds):
    """Outlines with holes, on sheets of any outline."""
    sheets = instance["sheets"]
    builder = irregular.InstanceBuilder()
    objective = irregular.Objective
    builder.set_objective(objective.BinPacking if len(sheets) == 1 else objective.VariableSizedBinPacking)
    builder.set_item_item_minimum_spacing(float(instance["gap"]))
    pieces = sum(item["qty"] for item in instance["items"])
    for sheet in sheets:
        # A cost of nothing is not accepted.
        cost = {} if sheet.get("cost") is None else {"cost": max(float(sheet["cost"]), 0.001)}
        kind = builder.add_bin_type(irregular.build_shape(sheet["outline"]), copies=sheet["stock"] or pieces, **cost)
        for hole in sheet["holes"]:
            builder.add_defect(kind, -1, irregular.ShapeWithHoles(irregular.build_shape(hole[::-1])))
    for item in instance["items"]:
        holes = [irregular.build_shape(hole[::-1]) for hole in item["holes"]]
        shape = irregular.ShapeWithHoles(irregular.build_shape(item["outline"]), holes)
        turns = [(0.0, 360.0)] if item["rotations"] == "any" else [(float(t), float(t)) for t in item["rotations"]]
        faces = [False, True] if item["mirror"] else [False]
        ways = [(start, end, face) for start, end in turns for face in faces]
        builder.add_item_type(shape, copies=item["qty"], allowed_rotations=ways)
    result = solve(irregular, builder, seconds)
    if result["sheets"] is not None:
        # Sheets that cost nothing are remnants and not counted.
        solution = result.pop("solution")
        free = {kind for kind, sheet in enumerate(sheets) if sheet.get("cost") == 0}
        bins = [solution.bin(i) for i in range(solution.number_of_different_bins())]
        result["sheets"] = sum(b.copies for b in bins if b.bin_type_id not in free)
    return result


def solve(room, builder, seconds):
    parameters = room.OptimizeParameters()
    parameters.time_limit = seconds
    parameters.verbosity_level = 0
    start = time.monotonic()
    output = room.optimize(builder.build(), parameters)
    solution = output.solution
    return {
        "sheets": solution.number_of_bins() if solution.full() else None,
        "bound": output.bin_packing_bound,
        "seconds": time.monotonic() - start,
        "solution": solution,
    }


def main():
    path, seconds, *flags = sys.argv[1:]
    with open(path) as file:
        instance = json.load(file)
    turning = "--no-turning" not in flags
    is_boxes = "sheet" in instance
    result = guillotine(instance, float(seconds), turning) if is_boxes else outlines(instance, float(seconds))
    result.pop("solution", None)
    print(json.dumps(result))


if __name__ == "__main__":
    main()
