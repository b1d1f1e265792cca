"""What a scanner types into the field for everything. The storeroom knows bare codes; how labels are read registers
here."""

from typing import Protocol


class ScanReader(Protocol):
    def code_in(self, text: str) -> str:
        """The code in a label's address, typed on whatever keyboard; empty where there is none."""
        ...

    def is_suppliers(self, text: str) -> bool:
        """Whether it is a supplier's label, which says what came in."""
        ...


_readers: list[ScanReader] = []


def register(reader: ScanReader) -> None:
    if reader not in _readers:
        _readers.append(reader)


def code_in(text: str) -> str:
    return next((code for reader in _readers if (code := reader.code_in(text))), "")


def is_suppliers(text: str) -> bool:
    return any(reader.is_suppliers(text) for reader in _readers)
