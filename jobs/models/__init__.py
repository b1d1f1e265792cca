"""What is built and what it is cut from: one file a table."""

from .blank import PlannedBlank
from .cutting_plan import CuttingPlan
from .job import Job
from .part import Part
from .ply import Ply
from .strip import PlannedStrip

__all__ = ["CuttingPlan", "Job", "Part", "PlannedBlank", "PlannedStrip", "Ply"]
