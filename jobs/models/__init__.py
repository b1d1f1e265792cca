"""What is built and what it is cut from: one file a table."""

from .blank import PlannedBlank
from .cutting_plan import CuttingPlan
from .job import Job
from .material_properties import MaterialProperties
from .mix import Mix
from .mix_draw import MixDraw
from .mix_ply import MixPly
from .part import Part
from .plan_run import PlanRun
from .plan_worker import PlanWorker
from .ply import Ply
from .precedence import Precedence
from .stand_in import StandIn
from .strip import PlannedStrip

__all__ = [
    "CuttingPlan",
    "Job",
    "MaterialProperties",
    "Mix",
    "MixDraw",
    "MixPly",
    "Part",
    "PlanRun",
    "PlanWorker",
    "PlannedBlank",
    "PlannedStrip",
    "Ply",
    "Precedence",
    "StandIn",
]
