from tests.shopstock.clock import noon
from tests.shopstock.demand_source import planned

__all__ = ["noon", "planned"]
