"""The names by which worked examples call what the shop orders by. Numbers arrive as int or Decimal."""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from typing import Any

from shopstock.calc import (
    intermittent,
    joint_orders,
    lot_sizes,
    order_quantity,
    quoted_jobs,
    uncertain_demand,
    whole_rolls,
)


def cheapest_lots(**inputs) -> dict[str, Any]:
    found = lot_sizes.cheapest_lots(**inputs)
    return {"lots": list(found.lots), "cost": found.cost}


def cheapest_lots_cost(**inputs):
    return lot_sizes.cheapest_lots(**inputs).cost


def cheapest_prefix_costs(**inputs):
    return list(lot_sizes.cheapest_lots(**inputs).prefix_costs)


def silver_meal(**inputs) -> dict[str, Any]:
    found = lot_sizes.silver_meal(**inputs)
    return {"lots": list(found.lots), "cost": found.cost}


def _floats(values):
    return [float(value) for value in values]


def economic_quantity(order_cost, holding, per_year):
    found = order_quantity.economic_quantity(*_floats((order_cost, holding, per_year)))
    return [found.quantity, found.cost]


def economic_quantity_with_backlog(order_cost, holding, shortage, per_year):
    figures = _floats((order_cost, holding, shortage, per_year))
    found, share = order_quantity.economic_quantity_with_backlog(*figures)
    return [found.quantity, share, found.cost]


def _breaks(breaks):
    return [order_quantity.PriceBreak(float(least), float(price)) for least, price in breaks]


def with_all_units_breaks(order_cost, rate, per_year, breaks):
    found = order_quantity.with_all_units_breaks(*_floats((order_cost, rate, per_year)), _breaks(breaks))
    return [found.quantity, found.cost]


def with_incremental_breaks(order_cost, rate, per_year, breaks):
    found = order_quantity.with_incremental_breaks(*_floats((order_cost, rate, per_year)), _breaks(breaks))
    return [found.quantity, found.cost]


def in_whole_packs(pack, order_cost, rate, per_year, breaks, most=Decimal("Infinity")):
    figures = _floats((pack, order_cost, rate, per_year))
    found = order_quantity.in_whole_packs(*figures, _breaks(breaks), most=float(most))
    return [found.quantity, found.cost]


def used_before_it_dies(per_year, usable_days):
    return order_quantity.used_before_it_dies(*_floats((per_year, usable_days)))


def one_time_order(over, under, mean, spread):
    found = uncertain_demand.one_time_order(*_floats((over, under, mean, spread)))
    return [found.quantity, found.expected]


def one_time_order_for_profit(price, cost, salvage, mean, spread):
    found = uncertain_demand.one_time_order_for_profit(*_floats((price, cost, salvage, mean, spread)))
    return [found.quantity, found.expected]


def one_time_order_poisson(mean, over, under):
    found = uncertain_demand.one_time_order_of(uncertain_demand.poisson(float(mean)), float(over), float(under))
    return [found.quantity, found.expected]


def one_time_order_of(chances, over, under):
    """Chances as [quantity, chance]."""
    table = {int(quantity): float(chance) for quantity, chance in chances}
    found = uncertain_demand.one_time_order_of(table, float(over), float(under))
    return [found.quantity, found.expected]


def order_up_to_poisson(mean, holding, shortage, order_cost):
    chances = uncertain_demand.poisson(float(mean))
    found = uncertain_demand.order_up_to(chances, *_floats((holding, shortage, order_cost)))
    return [found.reorder, found.order, found.cost]


def order_by_lots(holding, shortage, order_cost, per_period, lead_periods):
    found = uncertain_demand.order_by_lots(*_floats((holding, shortage, order_cost, per_period, lead_periods)))
    return [found.reorder, found.order, found.cost]


def steady_with_safety(holding, shortage, order_cost, per_year, spread, lead_days_of_360):
    """The lead time as days of a year of 360, so that a twelfth of a year is a whole number."""
    figures = _floats((holding, shortage, order_cost, per_year, spread))
    found = uncertain_demand.steady_with_safety(*figures, float(lead_days_of_360) / 360)
    return [found.reorder, found.order]


def reorder_point(per_period, spread, lead_periods, lead_spread, service):
    return uncertain_demand.reorder_point(*_floats((per_period, spread, lead_periods, lead_spread, service)))


def lead_time_spread(per_period, spread, lead_periods, lead_spread):
    return uncertain_demand.lead_time_spread(*_floats((per_period, spread, lead_periods, lead_spread)))


def normal_losses(z):
    return [uncertain_demand.normal_loss(float(value)) for value in z]


def common_cycle(shared_cost, items):
    """Items as [cost of a line, holding, need a year]."""
    found = joint_orders.common_cycle([joint_orders.JointItem(*_floats(item)) for item in items], float(shared_cost))
    return {"years": found.years, "multiples": list(found.multiples), "cost": found.cost}


FORECASTS = {
    "croston": intermittent.croston,
    "syntetos_boylan": intermittent.syntetos_boylan,
    "shale_boylan_johnston": intermittent.shale_boylan_johnston,
    "teunter_syntetos_babai": intermittent.teunter_syntetos_babai,
}


def forecast(method, history, smoothing):
    return FORECASTS[method](_floats(history), float(smoothing)).per_period


def pattern_of(history):
    found = intermittent.pattern_of(_floats(history))
    return {"gap": found.gap, "variation": found.variation, "word": found.word}


def _chances(quotes):
    return quoted_jobs.chances_of_total([quoted_jobs.Quote(Decimal(q), Decimal(p)) for q, p in quotes])


def chances_of_quotes(quotes):
    """Quotes as [quantity, chance]; [total, chance] of every total."""
    return [[total, share] for total, share in _chances(quotes).items()]


def mean_and_variance_of_quotes(quotes):
    return list(quoted_jobs.mean_and_variance(_chances(quotes)))


def least_that_serves(quotes, under, over):
    share = Fraction(under) / (Fraction(under) + Fraction(over))
    return quoted_jobs.least_that_serves(_chances(quotes), share)


def rolls_for_quotes(quotes, roll_length, under, over):
    """Expected cost of 0, 1, 2 … rolls, and the best number."""
    choices = quoted_jobs.rolls_for_quotes(
        _chances(quotes), roll_length=Decimal(roll_length), under=Decimal(under), over=Decimal(over)
    )
    return {
        "costs": [choice.expected_cost for choice in choices],
        "best": quoted_jobs.best_choice(choices).rolls,
    }


def _material(needed, on_hand, arriving, safety, lead_periods, roll_length, holding) -> whole_rolls.Material:
    return whole_rolls.Material(
        "roll",
        tuple(map(Decimal, needed)),
        Decimal(on_hand),
        Decimal(roll_length),
        arriving=tuple(map(Decimal, arriving)),
        safety=Decimal(safety),
        lead_periods=lead_periods,
        holding=Decimal(holding),
    )


def cheapest_whole_rolls(freight, **inputs):
    plan = whole_rolls.cheapest_orders([_material(**inputs)], Decimal(freight), seconds=60)
    return {"rolls": list(plan.packs[0]), "cost": plan.cost, "method": plan.method}


def whole_rolls_lot_for_lot(freight, **inputs):
    plan = whole_rolls.lot_for_lot([_material(**inputs)], Decimal(freight))
    return {"rolls": list(plan.packs[0]), "cost": plan.cost, "method": plan.method}


ORDERING_CALCULATIONS: dict[str, Callable[..., Any]] = {
    function.__name__: function
    for function in (
        cheapest_lots,
        cheapest_lots_cost,
        cheapest_prefix_costs,
        silver_meal,
        economic_quantity,
        economic_quantity_with_backlog,
        with_all_units_breaks,
        with_incremental_breaks,
        in_whole_packs,
        used_before_it_dies,
        one_time_order,
        one_time_order_for_profit,
        one_time_order_poisson,
        one_time_order_of,
        order_up_to_poisson,
        order_by_lots,
        steady_with_safety,
        reorder_point,
        lead_time_spread,
        normal_losses,
        common_cycle,
        forecast,
        pattern_of,
        chances_of_quotes,
        mean_and_variance_of_quotes,
        least_that_serves,
        rolls_for_quotes,
        cheapest_whole_rolls,
        whole_rolls_lot_for_lot,
    )
}
