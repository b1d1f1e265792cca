"""The storeroom's tables, one file each."""

from .call_count import CallCount
from .chemical import Chemical
from .climate_reading import ClimateReading
from .container import Container
from .container_movement import ContainerMovement
from .cut_habit import CutHabit
from .data_sheet import DataSheet
from .delivery import DeliveredItem, Delivery
from .dose_band import DoseBand
from .fault import Fault
from .feed_address import FeedAddress
from .layer import Layer
from .life_test import LifeTest
from .measurement import Measurement
from .movement import Movement
from .offer import Offer
from .order import Order
from .order_line import OrderLine
from .out_spell import OutSpell
from .pin import Pin
from .place import Place
from .place_rule import PlaceRule
from .pot_life import PotLife
from .recount_entry import RecountEntry
from .recount_round import RecountRound
from .reinforcement import Reinforcement
from .roll import Roll
from .sensor import Sensor
from .set_aside import SetAside
from .shop import Shop
from .supplier import Supplier
from .supplier_article import SupplierArticle
from .tablet import Tablet
from .watch_decision import WatchDecision

__all__ = [
    "CallCount",
    "Chemical",
    "ClimateReading",
    "Container",
    "ContainerMovement",
    "CutHabit",
    "DataSheet",
    "DeliveredItem",
    "Delivery",
    "DoseBand",
    "Fault",
    "FeedAddress",
    "Layer",
    "LifeTest",
    "Measurement",
    "Movement",
    "Offer",
    "Order",
    "OrderLine",
    "OutSpell",
    "Pin",
    "Place",
    "PlaceRule",
    "PotLife",
    "RecountEntry",
    "RecountRound",
    "Reinforcement",
    "Roll",
    "Sensor",
    "SetAside",
    "Shop",
    "Supplier",
    "SupplierArticle",
    "Tablet",
    "WatchDecision",
]
