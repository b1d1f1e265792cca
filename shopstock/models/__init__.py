"""The storeroom's tables, one file each."""

from .chemical import Chemical
from .container import Container
from .container_movement import ContainerMovement
from .cut_habit import CutHabit
from .fault import Fault
from .layer import Layer
from .measurement import Measurement
from .movement import Movement
from .place import Place
from .recount_entry import RecountEntry
from .recount_round import RecountRound
from .reinforcement import Reinforcement
from .roll import Roll
from .set_aside import SetAside
from .shop import Shop
from .supplier import Supplier

__all__ = [
    "Chemical",
    "Container",
    "ContainerMovement",
    "CutHabit",
    "Fault",
    "Layer",
    "Measurement",
    "Movement",
    "Place",
    "RecountEntry",
    "RecountRound",
    "Reinforcement",
    "Roll",
    "SetAside",
    "Shop",
    "Supplier",
]
