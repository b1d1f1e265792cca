"""Rebuild the frozen figures of ordering with two independent libraries, in environments that are thrown away.

    python tests/bench/order_figures.py

It needs the network and several minutes; the program itself and its tests need neither library. It prints each figure
beside the one in fixtures/worked/ordering.json and ends with 1 when one differs.
"""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

CASES = Path(__file__).resolve().parents[2] / "fixtures" / "worked" / "ordering.json"

LOTS = """
import json
from stockpyl.eoq import economic_order_quantity, economic_order_quantity_with_all_units_discounts as all_units
from stockpyl.eoq import economic_order_quantity_with_backorders as backorders
from stockpyl.eoq import economic_order_quantity_with_incremental_discounts as incremental
from stockpyl.eoq import joint_replenishment_problem_silver_heuristic as joint
from stockpyl.newsvendor import newsvendor_discrete, newsvendor_normal, newsvendor_poisson
from stockpyl.rq import r_q_eoqss_approximation, r_q_poisson_exact
from stockpyl.ss import s_s_discrete_exact
from stockpyl.wagner_whitin import wagner_whitin

case = {row["id"]: row["inputs"] for row in json.loads(open(CASES).read())}
found = {}

def lots(i, price=0):
    needed, n = i["needed"], len(i["needed"])
    orders = i["order_cost"] if isinstance(i["order_cost"], list) else [i["order_cost"]] * n
    prices = i.get("unit_cost", [0] * n)
    return wagner_whitin(n, i["holding"], [0, *orders], [0, *needed], [0, *prices])

quantities, cost, to_go, _ = lots(case["O1"])
found["O1"] = {"lots": list(quantities[1:]), "cost": cost}
for name in ("O4a", "O4b", "O5"):
    found[name] = lots(case[name])[1]
quantities, cost, *_ = lots(case["O3"])
found["O3"] = {"lots": list(quantities[1:]), "cost": cost}
found["O8"] = list(economic_order_quantity(8, 0.225, 1300))
for name, solve in (("O9a", all_units), ("O9b", all_units), ("O9c", incremental)):
    i = case[name]
    quantity, _, cost = solve(i["order_cost"], i["rate"], i["per_year"], *map(list, zip(*i["breaks"])))
    found[name] = [quantity, cost]
found["O10"] = list(backorders(8, 0.225, 5, 1300))
found["O11a"] = list(newsvendor_normal(0.18, 0.70, 50, 8))
found["O11c"] = list(newsvendor_normal(43, 79, 900, 60))
found["O12a"] = list(newsvendor_poisson(1, 4, 6))
found["O12b"] = list(newsvendor_discrete(500000, 1000000, demand_pmf={int(q): p for q, p in case["O12b"]["chances"]}))
found["O13a"] = list(s_s_discrete_exact(1, 4, 5, True, 6))
found["O13b"] = list(s_s_discrete_exact(40, 125, 150, True, 4))
found["O14a"] = list(r_q_poisson_exact(20, 150, 100, 1.5, 2))
found["O14b"] = list(r_q_eoqss_approximation(0.225, 7.5, 8, 1300, 150, 1 / 12))
_, cycle, multiples, cost = joint(600, [120, 840, 300], [160, 20, 50], [1, 1, 1])
found["O15"] = {"years": cycle, "multiples": list(multiples), "cost": cost}
i = case["O21"]
quantity, _, cost = all_units(i["order_cost"], i["rate"], i["per_year"], *map(list, zip(*i["breaks"])))
found["O21"] = [quantity, cost]
print(json.dumps(found, default=float))
"""

FORECASTS = """
import json
import numpy as np
from statsforecast.models import TSB, CrostonClassic, CrostonSBA

case = {row["id"]: row["inputs"] for row in json.loads(open(CASES).read())}
history = np.array(case["O16a"]["history"], dtype=float)
models = {"O16a": CrostonClassic(), "O16b": CrostonSBA(), "O16d": TSB(alpha_d=0.1, alpha_p=0.1)}
print(json.dumps({name: float(model.forecast(history, 1)["mean"][0]) for name, model in models.items()}))
"""

LIBRARIES = (("stockpyl==1.0.2", LOTS), ("statsforecast==2.1.1", FORECASTS))


def rebuilt(library: str, script: str) -> dict:
    """What the script finds with the library, installed into an environment that is removed again."""
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run([sys.executable, "-m", "venv", folder], check=True)
        python = Path(folder) / ("Scripts" if sys.platform == "win32" else "bin") / "python"
        subprocess.run([python, "-m", "pip", "install", "-q", "setuptools<80", library], check=True)
        done = subprocess.run(
            [python, "-W", "ignore", "-c", script.replace("CASES", repr(str(CASES)))],
            check=True,
            capture_output=True,
            text=True,
        )
        return json.loads(done.stdout.splitlines()[-1])


def flat(value) -> list[float]:
    if isinstance(value, dict):
        value = list(value.values())
    return [number for item in value for number in flat(item)] if isinstance(value, list) else [float(value)]


def same(ours: list[float], theirs: list[float]) -> bool:
    return len(ours) == len(theirs) and all(
        abs(a - b) <= 3e-6 * max(1, abs(a)) for a, b in zip(ours, theirs, strict=True)
    )


def main() -> int:
    frozen = {row["id"]: row["expected"] for row in json.loads(CASES.read_text(encoding="utf-8"))}
    wrong = 0
    for library, script in LIBRARIES:
        for name, value in rebuilt(library, script).items():
            ours, theirs = flat(frozen[name]), flat(value)
            agrees = same(ours, theirs)
            wrong += not agrees
            print(f"{'same ' if agrees else 'OTHER'} {name:6} {library:22} {theirs} frozen {ours}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
