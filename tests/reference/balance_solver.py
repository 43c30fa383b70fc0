"""Makes tests/data/balance_solver.json: the nearest set of shot to a wanted tip, by an integer-programming solver.

Every case is a float of 0.05 to 5 g with a box, a hook, a bait and line. The weights in water are computed here from the
published formulas (Tanaka et al. 2001 for water, Archimedes for the rest), not taken from the project. For each limit on
sizes and shots, OR-Tools CP-SAT minimises the distance from the wanted weight over all sets that leave the water on the
tip; only answers that it proves optimal are written. The search floor is whole nanograms, as in the project.

Usage: python balance_solver.py OUT.json [CASES] [SEED]
Needs: ortools (tested with 9.15).
"""

import json
import math
import random
import sys
from decimal import ROUND_HALF_UP, Decimal

from ortools.sat.python import cp_model


def water(t):
    d = t - 3.983035
    return 999.97495 * (1.0 - d * d * (t + 301.797) / (522528.9 * (t + 69.34881)))


def whole(x):
    return int(Decimal(x).quantize(Decimal(1), rounding=ROUND_HALF_UP))


def in_water(mass_ng, density, rho):
    return whole(mass_ng * (1.0 - rho / density))


def case(rng):
    load = round(10 ** rng.uniform(math.log10(500), math.log10(50000)))
    many = rng.choice([4, 6, 8, 10, 12, 15])
    top = min(20000, load)
    masses = sorted({round(10 ** rng.uniform(math.log10(max(100, load / 60)), math.log10(top))) for _ in range(many)})
    fixed_at = rng.randrange(len(masses)) if rng.random() < 0.3 else None
    request = {
        "float": {
            "load_tenth_mg": load,
            "tip_diameter_mm": rng.choice([0.8, 1.0, 1.2, 1.5]),
            "tip_length_mm": rng.choice([15.0, 20.0, 25.0, 30.0]),
        },
        "temperature_c": rng.choice([4.0, 10.0, 15.0, 20.0, 25.0]),
        "shot_box": [
            {
                "name": f"s{i}",
                "mass_tenth_mg": m,
                "density_kg_per_m3": 11350.0 if m <= 600 else rng.choice([7310.0, 9747.0]),
                "count": rng.randint(2, 40),
                "fixed": 1 if i == fixed_at and m * 5 < load else 0,
            }
            for i, m in enumerate(masses)
        ],
        "hook": {"mass_tenth_mg": rng.randint(20, 150), "density_kg_per_m3": 7850.0},
        "bait": {"side_mm": rng.choice([4.0, 6.0]), "density_kg_per_m3": 1040.0},
        "line": [{"length_m": round(rng.uniform(0.3, 4.0), 2), "diameter_mm": 0.14, "density_kg_per_m3": 1140.0}],
        "wanted_tip_mm": rng.choice([0.5, 1.0, 2.0, 3.0, 5.0]),
        "wanted_state": rng.choice(["bait_hanging", "bait_on_bottom"]),
        "max_sizes": 3,
        "max_shots": 30,
    }
    return request


def numbers(request):
    rho, f = water(request["temperature_c"]), request["float"]
    lift = whole(f["load_tenth_mg"] * 1e5 * (1.0 - water(15.0) / 11350.0))
    per_mm = whole(math.pi / 4 * f["tip_diameter_mm"] ** 2 * rho * 1e3)
    hook = in_water(request["hook"]["mass_tenth_mg"] * 1e5, request["hook"]["density_kg_per_m3"], rho)
    bait = in_water(request["bait"]["side_mm"] ** 3 * request["bait"]["density_kg_per_m3"] * 1e3,
                    request["bait"]["density_kg_per_m3"], rho)
    line = sum(in_water(math.pi / 4 * p["diameter_mm"] ** 2 * p["length_m"] * 1e3 * p["density_kg_per_m3"] * 1e3,
                        p["density_kg_per_m3"], rho) for p in request["line"])
    covered = whole((f["tip_length_mm"] - request["wanted_tip_mm"]) * per_mm)
    showing = whole(request["wanted_tip_mm"] * per_mm)
    # With the bait on the bottom, the bed carries the bait and the hook in it.
    hanging = line if request["wanted_state"] == "bait_on_bottom" else hook + bait + line
    weights = [in_water(s["mass_tenth_mg"] * 1e5, s["density_kg_per_m3"], rho) for s in request["shot_box"]]
    return weights, lift + covered - hanging, covered, showing


def solve(request, sizes, shots):
    """The least distance in ng, None if no set leaves the water on the tip, or "unknown"."""
    weights, wanted, covered, showing = numbers(request)
    model = cp_model.CpModel()
    counts = [model.new_int_var(s["fixed"], min(s["count"], shots), "") for s in request["shot_box"]]
    used = [model.new_bool_var("") for _ in counts]
    for n, u, s in zip(counts, used, request["shot_box"]):
        model.add(n <= min(s["count"], shots) * u)
    model.add(sum(used) <= sizes)
    model.add(sum(counts) <= shots)
    remainder = wanted - sum(n * w for n, w in zip(counts, weights))
    distance = model.new_int_var(0, max(covered, showing), "")
    model.add(remainder <= covered)
    model.add(-remainder <= showing)
    model.add(remainder <= distance)
    model.add(-remainder <= distance)
    model.minimize(distance)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = 60
    status = solver.solve(model)
    if status == cp_model.OPTIMAL:
        return round(solver.objective_value)
    if status == cp_model.INFEASIBLE:
        return None
    return "unknown"


def main():
    out, cases, seed = sys.argv[1], int((sys.argv + [0, 320])[2] if len(sys.argv) > 2 else 320), 20
    if len(sys.argv) > 3:
        seed = int(sys.argv[3])
    rng, table, left_out = random.Random(seed), [], 0
    while len(table) < cases:
        request = case(rng)
        weights, wanted, _, showing = numbers(request)
        if sum(w * s["fixed"] for w, s in zip(weights, request["shot_box"])) > wanted + showing:
            continue  # The project refuses a float that cannot carry its rig; nothing to compare.
        best = []
        for sizes, shots in ((3, 30), (2, 15), (1, 30)):
            found = solve(request, sizes, shots)
            if found == "unknown":
                left_out += 1
            else:
                best.append({"max_sizes": sizes, "max_shots": shots, "distance_ng": found})
        if best:
            table.append({"request": request, "best": best})
            print(len(table), left_out, flush=True)
    with open(out, "w", encoding="utf-8") as file:
        file.write('{"made_with": "OR-Tools CP-SAT, each answer proved optimal", "not_proved_in_60_s": %d,\n"cases": [\n' % left_out)
        file.write(",\n".join(json.dumps(row, separators=(",", ":")) for row in table))
        file.write("\n]}\n")


if __name__ == "__main__":
    main()
