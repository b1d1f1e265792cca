"""The cutting planner: which blank comes from which place on which roll, and the least cloth any plan could use."""

from jobs.calc.cutting.plan import Offcut, PlacedBlank, Plan, Strip, Unplaced
from jobs.calc.cutting.planner import plan_cuts
from jobs.calc.cutting.problem import MOST_BLANKS, Blank, Fault, Problem, ProblemError, Stock
from jobs.calc.cutting.reading import joined_faults

__all__ = [
    "MOST_BLANKS",
    "Blank",
    "Fault",
    "Offcut",
    "PlacedBlank",
    "Plan",
    "Problem",
    "ProblemError",
    "Stock",
    "Strip",
    "Unplaced",
    "joined_faults",
    "plan_cuts",
]
