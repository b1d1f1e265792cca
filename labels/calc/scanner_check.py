"""What a keyboard scanner made of a known text: which characters arrive as others, and which not at all."""

from dataclasses import dataclass

# Every character that a label's code can hold, once; 39 of them, in QR's alphanumeric mode.
TEST_TEXT = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789:/-"

_NAMES = {" ": "space", "\t": "tab", "\x1d": "group separator", "\r": "return", "\n": "new line"}


@dataclass(frozen=True)
class ScannerCheck:
    """changed holds (sent, arrived) pairs; missing and extra count characters when the lengths differ."""

    changed: tuple[tuple[str, str], ...]
    missing: int
    extra: int
    lower_case: bool

    @property
    def is_plain(self) -> bool:
        return not (self.changed or self.missing or self.extra)

    @property
    def letters_swapped(self) -> bool:
        """Codes are made without the letters that move between common keyboards; any other that moves breaks them."""
        return any(sent.isalpha() and arrived.isalpha() for sent, arrived in self.changed)


def check_scanner(arrived: str) -> ScannerCheck:
    """Return how a scanner changed TEST_TEXT.

    arrived: what it typed, without the return at its end. Result: ScannerCheck; small letters are no change, since
    codes are read in either case. Raises nothing.
    Source: comparison character by character; lengths that differ are counted and the common part compared.
    Worked: a scanner set to a German keyboard turns Y into Z, : into Ö and / into -.
    """
    text = arrived.strip("\r\n")
    pairs = list(zip(TEST_TEXT, text.upper(), strict=False))
    changed = tuple((sent, named(got)) for sent, got in pairs if sent != got)
    length = len(TEST_TEXT) - len(text)
    return ScannerCheck(changed, max(0, length), max(0, -length), text != text.upper())


def named(character: str) -> str:
    """Return a character as it can be shown: blanks and control characters by name.

    character: one character. Result: itself or its name. Raises nothing.
    Source: own wording.
    Worked: a tab is shown as "tab".
    """
    if character in _NAMES:
        return _NAMES[character]
    return character if character.isprintable() else f"character {ord(character)}"
