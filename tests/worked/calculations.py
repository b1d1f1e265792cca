"""The names by which worked examples call the project's calculations. Numbers arrive as int or Decimal."""

from collections.abc import Callable
from dataclasses import asdict
from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np

from jobs.calc import blanks, laminate, laminate_properties, rules_of_thumb, wet_out
from shopstock.calc import (
    areal_weight,
    costing,
    directional_fibre,
    fusing,
    netting,
    quantity,
    roll_diameter,
    roll_estimate,
    roll_mass,
    stretches,
    uncertainty,
    units,
    wound_length,
)
from tests.worked.ordering_calculations import ORDERING_CALCULATIONS
from tests.worked.resin_calculations import RESIN_CALCULATIONS
from tests.worked.stiffness_calculations import STIFFNESS_CALCULATIONS

CALCULATIONS: dict[str, Callable[..., Any]] = {}


def calculation(function: Callable) -> Callable:
    CALCULATIONS[function.__name__] = function
    return function


def _in_floats(function: Callable) -> Callable:
    def called(**inputs):
        return function(**{k: float(v) if isinstance(v, int | Decimal) else v for k, v in inputs.items()})

    return called


CALCULATIONS |= {
    function.__name__: _in_floats(function)
    for function in (
        laminate.fibre_volume_fraction,
        laminate.fibre_mass_fraction,
        laminate.fraction_from_resin_ratio,
        laminate.resin_ratio,
        laminate.resin_gsm,
        laminate.laminate_density,
        laminate.thickness_mm,
        laminate.iso_thickness_mm,
        laminate_properties.design_stress,
        wet_out.resin_for_ply_g,
        wet_out.gelcoat_mass_g,
        wet_out.dry_film_mm,
        wet_out.to_issue_g,
        wound_length.wound_length_mm,
        wound_length.share_left,
    )
}
CALCULATIONS |= {
    function.__name__: function
    for function in (
        units.parse_length_mm,
        units.parse_mass_g,
        units.parse_areal_weight_gsm,
        units.parse_temperature_c,
        units.format_areal_weight,
        areal_weight.check_areal_weight,
        roll_mass.length_mm_from_mass,
        roll_mass.mass_g_from_length,
        roll_mass.measured_areal_weight_gsm,
        roll_mass.length_mm_from_mass_ratio,
        roll_mass.tex_from_yield,
        costing.split_cents,
        costing.cost_in_part,
        costing.offcut_value,
        rules_of_thumb.cover_ft2_per_gal,
        rules_of_thumb.film_thou,
        rules_of_thumb.gallons_by_cover,
        rules_of_thumb.mixed_epoxy_gal,
        rules_of_thumb.layers_for_thickness,
        rules_of_thumb.cloth_mass_oz,
        rules_of_thumb.piece_mass_g,
        blanks.panels_needed,
        blanks.split_into_panels,
        blanks.seam_centres,
        blanks.seams_clear,
        blanks.bias_square_mm,
        blanks.waste_of_overlap_percent,
        stretches.clean_stretches,
        stretches.place_each,
    )
}


def _exact(text: str, unit: str) -> Fraction:
    return quantity.read_quantity(text).in_unit(unit)


@calculation
def convert(value, from_unit, to_unit):
    return units.convert(value, from_unit, to_unit)


@calculation
def layers_total(layers, unit):
    """Layers as [[number, unit], ...]; the total in ``unit``."""
    return units.convert(areal_weight.layers_total_gsm([tuple(layer) for layer in layers]), "g/m²", unit)


@calculation
def check_layers(total_gsm, layers_gsm):
    return areal_weight.check_layers(Decimal(total_gsm), [Decimal(layer) for layer in layers_gsm])


@calculation
def rectangle_area(length, width, unit):
    """Length and width as typed; the area in ``unit``."""
    square_metres = _exact(length, "m") * _exact(width, "m")
    return units.convert(square_metres, "m²", unit)


@calculation
def roll_mass_from_typed(length, width, areal_weight, unit):
    """Length, width and areal weight as typed; the mass in ``unit``."""
    grams = roll_mass.mass_g_from_length(_exact(length, "mm"), _exact(areal_weight, "g/m²"), _exact(width, "mm"))
    return units.convert(grams, "g", unit)


@calculation
def roll_length_from_typed(mass, width, areal_weight, unit):
    """Net mass, width and areal weight as typed; the length in ``unit``."""
    mm = roll_mass.length_mm_from_mass(_exact(mass, "g"), _exact(areal_weight, "g/m²"), _exact(width, "mm"))
    return units.convert(mm, "mm", unit)


@calculation
def weigh_in(measured_gsm, nominal_gsm, form):
    return roll_mass.weigh_in(Decimal(measured_gsm), Decimal(nominal_gsm), form).in_tolerance


@calculation
def wound_turns_length_mm(turns, core_mm, thickness_mm):
    """Length of so many turns on a core, by the outer diameter they reach."""
    outer = core_mm + 2 * turns * thickness_mm
    return wound_length.wound_length_mm(float(outer), float(core_mm), float(thickness_mm))


@calculation
def general_over_iso_thickness(fractions, fibre, fibre_density, resin_density):
    """The general thickness over the standard's printed formula, one figure per fibre mass fraction."""
    densities = float(fibre_density), float(resin_density)
    return [
        laminate.thickness_mm(1000, float(x), *densities) / laminate.iso_thickness_mm(1000, float(x), fibre)
        for x in fractions
    ]


@calculation
def laminate_totals(plies, area_m2=1):
    """Plies as [areal weight g/m², fibre mass fraction, count]; per-area totals and mass in all."""
    stack = [laminate.Ply(float(gsm), float(fraction), float(area_m2), count=count) for gsm, fraction, count in plies]
    totals = laminate.laminate_totals(stack)
    return {
        "fibre_gsm": totals.fibre_gsm,
        "resin_gsm": totals.resin_gsm,
        "laminate_gsm": totals.laminate_gsm,
        "thickness_mm": totals.thickness_mm,
        "fibre_mass_fraction": totals.fibre_mass_fraction,
    }


@calculation
def laminate_thickness_mm(plies):
    return laminate_totals(plies)["thickness_mm"]


@calculation
def laminate_fibre_mass_fraction(plies):
    return laminate_totals(plies)["fibre_mass_fraction"]


@calculation
def laminate_resin_with_waste_g(plies, area_m2, waste_percent):
    stack = [laminate.Ply(float(gsm), float(fraction), float(area_m2), count=count) for gsm, fraction, count in plies]
    return wet_out.with_visible_waste(laminate.laminate_totals(stack).resin_g, float(waste_percent)).total_g


@calculation
def parts_of_a_laminate(mass_kg, volume_fraction, fibre_density, resin_density):
    """Split a mass of laminate into the volumes (m³) and masses (kg) of its fibre and resin."""
    phi, fibre, resin = float(volume_fraction), float(fibre_density), float(resin_density)
    psi = laminate.fibre_mass_fraction(phi, fibre, resin)
    volume = float(mass_kg) / laminate.laminate_density(psi, fibre, resin) / 1000
    return {
        "volume_m3": volume,
        "fibre_m3": volume * laminate.fibre_volume_fraction(psi, fibre, resin),
        "fibre_kg": float(mass_kg) * psi,
        "resin_kg": float(mass_kg) * (1 - psi),
    }


@calculation
def laminate_density_from_volume(volume_fraction, fibre_density, resin_density):
    phi, fibre, resin = float(volume_fraction), float(fibre_density), float(resin_density)
    return laminate.laminate_density(laminate.fibre_mass_fraction(phi, fibre, resin), fibre, resin)


@calculation
def resin_gsm_from_volume_fraction(areal_weight_gsm, volume_fraction, fibre_density, resin_density):
    psi = laminate.fibre_mass_fraction(float(volume_fraction), float(fibre_density), float(resin_density))
    return laminate.resin_gsm(float(areal_weight_gsm), psi)


@calculation
def default_fibre_mass_fraction(form, process, mat_share=None):
    share = None if mat_share is None else float(mat_share)
    return wet_out.default_fibre_mass_fraction(form, process, share).fraction


@calculation
def mat_and_woven_properties(fraction, tested=True):
    return list(asdict(laminate_properties.mat_and_woven(float(fraction), tested=tested)).values())


@calculation
def unidirectional_properties(fraction, tested=True):
    return list(asdict(laminate_properties.unidirectional(float(fraction), tested=tested)).values())[:5]


@calculation
def flexural_strength_untested(fraction):
    return laminate_properties.mat_and_woven(float(fraction), tested=False).flexural_strength


@calculation
def unit_modulus_and_strength(fraction):
    """Modulus and tensile strength per kg/m² of glass, N/mm width."""
    properties = laminate_properties.mat_and_woven(float(fraction))
    thickness = laminate.iso_thickness_mm(1000, float(fraction))
    return [properties.modulus * thickness, properties.tensile_strength * thickness]


@calculation
def directional_fibre_gsm(layers, direction_deg):
    """Layers as [areal weight g/m², angle in degrees or "random"]."""
    stack = [directional_fibre.FibreLayer(float(gsm), x if isinstance(x, str) else float(x)) for gsm, x in layers]
    return directional_fibre.directional_fibre_gsm(stack, float(direction_deg))


@calculation
def share_of_bias_square(length_mm, width_mm):
    return length_mm * width_mm / blanks.bias_square_mm(length_mm, width_mm) ** 2


@calculation
def landed_costs(lines, freight, duty_percent, handling):
    """Lines as [price, mass g, area m²]; the landed cost of each."""
    delivery = [costing.DeliveryLine(*map(Decimal, line)) for line in lines]
    charges = {"freight": Decimal(freight), "duty_percent": Decimal(duty_percent), "handling": Decimal(handling)}
    return [line.landed for line in costing.landed_costs(delivery, **charges)]


@calculation
def landed_cost_per_m2(lines, freight, duty_percent, handling):
    delivery = [costing.DeliveryLine(*map(Decimal, line)) for line in lines]
    charges = {"freight": Decimal(freight), "duty_percent": Decimal(duty_percent), "handling": Decimal(handling)}
    return [line.per_m2 for line in costing.landed_costs(delivery, **charges)]


def _issues(issue: Callable, steps: list) -> dict[str, Any]:
    """Steps as ["in", quantity, unit cost] or ["out", quantity]."""
    layers, costs = (), []
    for step in steps:
        if step[0] == "in":
            layers = (*layers, costing.CostLayer(Decimal(step[1]), Decimal(step[1]) * Decimal(step[2])))
        else:
            issued = issue(layers, Decimal(step[1]))
            layers = issued.left
            costs.append(issued.cost)
    return {"issued": costs, "left": sum((layer.value for layer in layers), Decimal(0))}


@calculation
def first_in_first_out(steps):
    return _issues(costing.issue_first_in_first_out, steps)


@calculation
def moving_average(steps):
    return _issues(costing.issue_moving_average, steps)


@calculation
def moving_average_keeps(steps):
    """All that was issued plus all that is left."""
    result = moving_average(steps)
    return sum(result["issued"]) + result["left"]


def _netted(needed, on_hand, arriving=(), safety=0, lead_periods=0, roll_length=None):
    rule = netting.in_whole_rolls(Decimal(roll_length)) if roll_length else netting.as_needed
    stock = {"on_hand": on_hand, "safety": safety, "lead_periods": lead_periods}
    return netting.net_needs(needed, arriving=arriving, lot_rule=rule, **stock)


@calculation
def net_needs(**inputs):
    return [row.net for row in _netted(**inputs)]


@calculation
def planned_releases(**inputs):
    """[period, quantity] of every order to release."""
    return [[row.release_period, row.planned_receipt] for row in _netted(**inputs) if row.release_period is not None]


@calculation
def stock_after(**inputs):
    return [row.stock_after for row in _netted(**inputs)]


def _estimate(estimate: uncertainty.Estimate) -> dict[str, float]:
    return {"length_mm": estimate.length_mm, "uncertainty_mm": estimate.uncertainty_mm}


def _floats(inputs: dict) -> dict[str, float]:
    return {name: float(value) for name, value in inputs.items()}


@calculation
def length_from_weight(tolerance_percent, **inputs):
    """Weighed on a scale good to ± 50 g with a tube known to ± 100 g and a width to ± 3 mm."""
    figures = _floats(inputs)
    u_gsm = uncertainty.from_tolerance(figures["areal_weight_gsm"] * float(tolerance_percent) / 100)
    return _estimate(roll_estimate.from_weight(**figures, u_areal_weight_gsm=u_gsm))


def _u_label_mm(label_length_mm) -> float:
    return roll_estimate.from_label(float(label_length_mm)).uncertainty_mm


@calculation
def length_from_weight_ratio(label_length_mm, **inputs):
    figures = _floats(inputs) | {"label_length_mm": float(label_length_mm), "u_label_mm": _u_label_mm(label_length_mm)}
    return _estimate(roll_estimate.from_weight_ratio(**figures))


@calculation
def length_from_diameter(**inputs):
    return _estimate(roll_diameter.from_diameter(**_floats(inputs)))


@calculation
def length_from_diameter_ratio(label_length_mm, **inputs):
    figures = _floats(inputs) | {"label_length_mm": float(label_length_mm), "u_label_mm": _u_label_mm(label_length_mm)}
    return _estimate(roll_diameter.from_diameter_ratio(**figures))


@calculation
def length_from_ledger(label_length_mm, taken_mm, cuts):
    return _estimate(_ledger(label_length_mm, taken_mm, cuts))


def _ledger(label_length_mm, taken_mm, cuts) -> uncertainty.Estimate:
    return roll_estimate.after_cuts(roll_estimate.from_label(float(label_length_mm)), float(taken_mm), int(cuts))


@calculation
def wound_thickness_mm(**inputs):
    return roll_diameter.wound_thickness_mm(**_floats(inputs))


@calculation
def outer_layers_mm(outer_mm, layers, thickness_mm):
    return roll_diameter.outer_layers_mm(float(outer_mm), int(layers), float(thickness_mm))


@calculation
def fuse(estimates):
    """Independent estimates as [length, standard uncertainty]."""
    found = fusing.fuse([uncertainty.Estimate(float(length), float(u)) for length, u in estimates])
    return _estimate(found.estimate) | {"chi_square": found.chi_square, "agree": found.agree}


@calculation
def fuse_ratio_weight_with_ledger(weight, ledger):
    """Both rest on the length of the label."""
    figures = _floats(weight)
    ratio = roll_estimate.from_weight_ratio(**figures, u_label_mm=_u_label_mm(figures["label_length_mm"]))
    booked = _ledger(**ledger)
    found = fusing.fuse([ratio, booked])
    return _estimate(found.estimate) | {"covariance_mm2": uncertainty.covariance_mm2(ratio, booked)}


@calculation
def length_from_weight_drawn(draws, seed, tolerance_percent, gross_g, tube_g, areal_weight_gsm, width_mm):
    """Mean and spread of as many random rolls, every figure drawn evenly within its tolerance."""
    random = np.random.default_rng(int(seed))
    within = lambda middle, half: random.uniform(middle - half, middle + half, int(draws))  # noqa: E731
    net_g = within(float(gross_g), 50) - within(float(tube_g), 100)
    gsm = within(float(areal_weight_gsm), float(areal_weight_gsm) * float(tolerance_percent) / 100)
    lengths = net_g * 1e6 / (gsm * within(float(width_mm), 3))
    return {"length_mm": float(lengths.mean()), "uncertainty_mm": float(lengths.std())}


CALCULATIONS |= STIFFNESS_CALCULATIONS | RESIN_CALCULATIONS | ORDERING_CALCULATIONS
