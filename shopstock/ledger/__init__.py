"""THE ONLY WRITER of stock: every receipt, cut, recount, draw and set-aside goes through a function named here.

Each function is one transaction. It first takes the write lock of the rolls or containers it touches (a one-row
UPDATE, so it holds on every database and isolation level), then reads, checks, and writes. `key` names the wish: the
same key twice is one movement.
"""

from .containers import (
    ContainerError,
    WrongContainer,
    dispose,
    draw,
    lose_from_container,
    move_container,
    open_container,
    receive_container,
    recount_container,
)
from .errors import KeyReused, LedgerError, NotEnough, NotUsable, StaleStock
from .faults import clear_fault, report_fault
from .first_size import is_as_it_came, keep_first_size
from .freezer import FreezerError, put_back_in_freezer, set_use_by, take_out_of_freezer
from .leaving import FoldDecision, decide_fold, return_roll
from .life_tests import LifeEnds, record_life_test
from .measurements import Correction, Measured, record_corrections, record_recount, require_unchanged
from .movements import (
    correct,
    move_roll,
    quarantine,
    record_cut,
    record_loss,
    record_offcut,
    record_receipt,
    release,
)
from .opening import OpeningRoll, codes_in_use, keys_in_the_ledger, record_opening_stock
from .queued import record_queued_cut
from .set_asides import Promise, give_back, set_aside
from .standing import MayNotStandThere
from .two_rolls import join_rolls, split_roll
from .winding_back import WINDING, take_back_winding

__all__ = [
    "ContainerError",
    "Correction",
    "FoldDecision",
    "FreezerError",
    "KeyReused",
    "LedgerError",
    "LifeEnds",
    "MayNotStandThere",
    "Measured",
    "NotEnough",
    "NotUsable",
    "OpeningRoll",
    "Promise",
    "StaleStock",
    "WINDING",
    "WrongContainer",
    "clear_fault",
    "codes_in_use",
    "correct",
    "decide_fold",
    "dispose",
    "draw",
    "give_back",
    "is_as_it_came",
    "keep_first_size",
    "join_rolls",
    "keys_in_the_ledger",
    "lose_from_container",
    "move_container",
    "move_roll",
    "open_container",
    "put_back_in_freezer",
    "quarantine",
    "receive_container",
    "record_corrections",
    "record_cut",
    "record_life_test",
    "record_loss",
    "record_offcut",
    "record_opening_stock",
    "record_queued_cut",
    "record_receipt",
    "record_recount",
    "recount_container",
    "release",
    "report_fault",
    "require_unchanged",
    "return_roll",
    "set_aside",
    "set_use_by",
    "split_roll",
    "take_back_winding",
    "take_out_of_freezer",
]
