from tests.shopstock.clock import noon

__all__ = ["noon"]
