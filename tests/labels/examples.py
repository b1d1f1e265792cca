"""Labels of an invented shop, plain ones and ones with everything too long."""

import datetime
from dataclasses import replace

from labels.calc.label_content import ContainerLabel, KitLabel, PlaceLabel, RollLabel
from labels.calc.qr_payload import payload
from shopstock.calc.stock_code import make_code
from shopstock.calc.strip_picture import Span
from shopstock.tickets import CutBlank, Ticket, TicketStep

SHORT_ADDRESS = "https://store.lan"
LONG_ADDRESS = "http://192.168.1.20:8000"


def roll_label(number=1, address=SHORT_ADDRESS, **changes):
    code = make_code(number)
    label = RollLabel(
        code=code,
        payload=payload(address, code, "R"),
        reinforcement="Woven roving 600 g/m², E-glass",
        form="woven roving",
        areal_weight_text="600 g/m² (17.7 oz/yd²)",
        width_text="1270 mm (50 in)",
        lot="L2407-A",
        length_text="50.00 m",
        received_text="2026-03-02",
    )
    return replace(label, **changes)


def long_roll_label(number=2, address=SHORT_ADDRESS):
    return roll_label(
        number,
        address,
        reinforcement="Stitched quadraxial 0/+45/90/-45 carbon with polyester binder, 12k tow, 1210 g/m² " * 4,
        form="stitched multiaxial with a core of veil and a very long description of its form",
        areal_weight_text="1210.55 g/m² (35.70 oz/yd²)",
        width_text="1270 mm (50 in)",
        lot="LOT-2026-03-WK11-000018823-B/77-XYZ-REEL-04-" * 6,
        length_text="102.35 m",
    )


def offcut_label(number=3, address=SHORT_ADDRESS):
    return roll_label(number, address, kind="offcut", length_text="1.85 m", warp_along=False)


def container_label(number=4, address=SHORT_ADDRESS, **changes):
    code = make_code(number)
    label = ContainerLabel(
        code=code,
        payload=payload(address, code, "C"),
        product="Vinyl ester resin, promoted, thixotropic",
        role="resin, drum",
        batch="B 24-1187",
        expiry_text="2026-11-30",
        hazard_codes=("GHS02", "GHS07", "GHS08", "H226", "H315", "H332", "H372"),
    )
    return replace(label, **changes)


def place_label(number=5, address=SHORT_ADDRESS):
    code = make_code(number)
    return PlaceLabel(code, payload(address, code, "P"), "Rack 2, shelf B", "shelf", "rolls up to 1300 mm wide")


def twin_label(number=6, address=SHORT_ADDRESS):
    return roll_label(number, address, twin=True)


def kit_label(number=7, address=SHORT_ADDRESS):
    code = make_code(number)
    return KitLabel(
        code=code,
        payload=payload(address, code, "R"),
        ply="Ply 7",
        piece="Hull port 7a",
        part="Hull, port side",
        job="Harbour dinghy 3, cut on 2026-03-05",
        reinforcement="Woven roving 600",
        size_text="4400 mm × 1225 mm, turned",
        note="from roll B00 0008, lot L2407-A",
    )


def cut_ticket():
    """A crease at the free end, a strip of gussets with an outline, a strip of rectangles."""
    gusset = ((0.0, 0.0), (1_000.0, 0.0), (0.0, 600.0))
    other = ((1_000.0, 0.0), (1_000.0, 600.0), (0.0, 600.0))
    hull = (
        CutBlank("Hull port 7a", "Hull", 7, 2_400, 600, 0, 10, lies_at="0°"),
        CutBlank("Hull starboard 7a", "Hull", 7, 2_400, 600, 0, 620, lies_at="0°"),
    )
    bow = (
        CutBlank("Bow 3a", "Bow", 3, 1_000, 600, 0, 10, lies_at="0°", outline=gusset),
        CutBlank("Bow 3b", "Bow", 3, 1_000, 600, 20, 20, lies_at="0°", turned=True, outline=other),
    )
    return Ticket(
        code=make_code(8),
        kind="roll",
        reinforcement="Woven roving 600 g/m², E-glass",
        lot="L2407-A",
        place="Rack A2",
        job="Harbour dinghy 3",
        cut_on=datetime.date(2026, 3, 5),
        length_mm=18_400,
        width_mm=1_250,
        steps=(
            TicketStep(None, 0, 350, why="crease"),
            TicketStep(1, 350, 1_030, blanks=bow, offcuts=((620, 1_030),)),
            TicketStep(2, 1_380, 2_405, blanks=hull),
        ),
        faults=(Span(0, 350, "crease"),),
        angle_sense="counter-clockwise, seen on the tool side",
    )


def labels_of_every_kind(address):
    return {
        "twin": twin_label(6, address),
        "kit": kit_label(7, address),
        "roll": roll_label(1, address),
        "long roll": long_roll_label(2, address),
        "offcut": offcut_label(3, address),
        "container": container_label(4, address),
        "place": place_label(5, address),
    }
