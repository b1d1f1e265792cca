"""The storeroom's tables, one file each."""

from .chemical import Chemical
from .container import Container
from .container_movement import ContainerMovement
from .fault import Fault
from .layer import Layer
from .movement import Movement
from .place import Place
from .reinforcement import Reinforcement
from .roll import Roll
from .set_aside import SetAside
from .shop import Shop
from .supplier import Supplier

__all__ = [
    "Chemical",
    "Container",
    "ContainerMovement",
    "Fault",
    "Layer",
    "Movement",
    "Place",
    "Reinforcement",
    "Roll",
    "SetAside",
    "Shop",
    "Supplier",
]
