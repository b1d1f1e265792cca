class LedgerError(Exception):
    """A wish the ledger refuses; the message says why and what to do."""


class NotEnough(LedgerError):
    """More is asked than is there and free."""


class NotUsable(LedgerError):
    """The roll is quarantined, used up or gone."""


class StaleStock(LedgerError):
    """The stock has changed since the person looked at it."""


class KeyReused(LedgerError):
    """The same key came back with other content: an old form, or two devices mixed up."""
