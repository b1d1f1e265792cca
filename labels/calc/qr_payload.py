"""What a label's QR code holds, and what a scanner, a camera or a person makes of it.

The code holds a short address in capitals, HTTPS://HOST/R/B000008: in QR's alphanumeric mode it takes 25 or 29 modules
a side, and a phone's own camera opens it. It holds no data that could go stale.
"""

import re
from dataclasses import dataclass
from urllib.parse import SplitResult, urlsplit

from shopstock.calc.stock_code import DIGITS, check_code, read_code

KINDS = {"R": "roll or offcut", "C": "container", "P": "place", "T": "ticket"}
VERSION_2_CHARACTERS = 29
VERSION_3_CHARACTERS = 47

_LONGEST_SCAN = 500
_PATH = re.compile(r"(?=(?P<mark>[^0-9A-Za-z\s])(?P<kind>[A-Za-z])(?P=mark)(?P<code>[^?#]+))")
# A scanner set to another keyboard types 1234567890 as these on French and Belgian ones.
_TYPED_DIGITS = (str.maketrans("&é\"'(-è_çà", "1234567890"), str.maketrans("&é\"'(§è!çà", "1234567890"))
_ONLY_FOREIGN = set("&é\"'(§è!çà")
_FOREIGN_SLASHES = "!="


class ShopAddressError(ValueError):
    """The shop's address cannot be printed in a label's code; the message says what to change."""


class LongPayloadError(ShopAddressError):
    """The address is too long for a code that stays readable on a small label."""


class NotALabelError(ValueError):
    """What was scanned is no label of this shop."""


@dataclass(frozen=True)
class Scanned:
    kind: str
    code: str


def payload(base_url: str, code: str, kind: str = "R") -> str:
    """Return the text of a label's QR code.

    base_url: the shop's address, http or https, host and port only. code: 7 characters. kind: a letter of KINDS.
    Result: at most 47 characters, all in QR's alphanumeric mode.
    Raises ShopAddressError for an address that mode cannot hold, LongPayloadError beyond 47 characters,
    WrongCodeError for a code that does not check, ValueError for an unknown kind.
    Source: ISO/IEC 18004, alphanumeric capacities at level Q: 29 characters in version 2, 47 in version 3.
    Worked: payload("https://store.lan", "B000008") is HTTPS://STORE.LAN/R/B000008, 27 characters.
    """
    if kind not in KINDS:
        raise ValueError(f"A label's kind is one of {', '.join(KINDS)}, not {kind!r}.")
    text = f"{_origin(base_url)}/{kind}/{read_code(code)}"
    if len(text) > VERSION_3_CHARACTERS:
        raise LongPayloadError(
            f"{text} has {len(text)} characters; a label's code takes {VERSION_3_CHARACTERS}. Use a shorter host name."
        )
    return text


def symbol_version(text: str) -> int:
    """Return the QR version that an alphanumeric text takes at level Q.

    text: characters of QR's alphanumeric mode. Result: 2 (25 modules a side) or 3 (29 modules a side).
    Raises LongPayloadError beyond 47 characters.
    Source: ISO/IEC 18004, capacities at level Q.
    Worked: 29 characters take version 2, 30 take version 3.
    """
    if len(text) > VERSION_3_CHARACTERS:
        raise LongPayloadError(f"{len(text)} characters do not fit a label's code, which takes {VERSION_3_CHARACTERS}.")
    return 2 if len(text) <= VERSION_2_CHARACTERS else 3


def parse_scanned(text: str) -> str:
    """Return the code in what was scanned or typed: a label's address from any host in any case, or the bare code.

    text: as it came. Result: 7 characters.
    Raises NotALabelError when it is no label of this shop, WrongCodeError when the code in it does not check.
    Source: payload(); a scanner that types on a foreign keyboard turns : and / into other marks and, on French and
    Belgian ones, digits into accented letters, so any mark is taken that stands on both sides of the kind.
    Worked: "HTTPSÖ--STORE.LAN-R-B000008" is B000008.
    """
    return scan(text).code


def scan(text: str) -> Scanned:
    """Return the kind and the code in what was scanned or typed; the kind of a bare code is "".

    text: as it came. Result: Scanned. Raises as parse_scanned does.
    Source: payload().
    Worked: "https://store.lan/c/b000008" is Scanned("C", "B000008").
    """
    text = text.strip()
    if len(text) > _LONGEST_SCAN:
        raise NotALabelError("That is far more text than a label holds. Scan the code on one of this shop's labels.")
    paths = [] if _readings(text) else list(_PATH.finditer(text))
    if not paths:
        return Scanned("", _bare_code(text))
    right = [scanned for path in paths if (scanned := _right_path(path))]
    return right[-1] if right else _refuse_path(paths[-1], text)


def _right_path(path: re.Match[str]) -> Scanned | None:
    kind, readings = path["kind"].upper(), _path_readings(path)
    return Scanned(kind, read_code(readings[0])) if kind in KINDS and readings else None


def _refuse_path(path: re.Match[str], text: str) -> Scanned:
    if path["kind"].upper() not in KINDS:
        raise NotALabelError(f"{text} is an address, but of no label. Scan the code on one of this shop's labels.")
    return Scanned(path["kind"].upper(), read_code(path["code"].rstrip(path["mark"])))


def _path_readings(path: re.Match[str]) -> list[str]:
    return _readings(path["code"].rstrip(path["mark"]), foreign=path["mark"] in _FOREIGN_SLASHES)


def _origin(base_url: str) -> str:
    parts = _split(base_url)
    if parts is None or parts.scheme not in ("http", "https") or not parts.netloc:
        raise ShopAddressError(f"{base_url!r} is no address for labels. Give it as https://host or http://host:port.")
    if parts.path.strip("/") or parts.query or parts.fragment or "@" in parts.netloc:
        raise ShopAddressError(f"Give the address of the host alone, without what follows it: {base_url!r} has more.")
    host = _ascii_host(parts.netloc).upper()
    if not re.fullmatch(r"[0-9A-Z.\-]+(:[0-9]+)?", host):
        raise ShopAddressError(f"{host} has characters that a label's code cannot hold: use letters, digits, . and -.")
    return f"{parts.scheme.upper()}://{host}"


def _split(base_url: str) -> SplitResult | None:
    try:
        return urlsplit(base_url.strip())
    except ValueError:
        return None


def _ascii_host(netloc: str) -> str:
    try:
        return netloc.encode("idna").decode("ascii")
    except UnicodeError:
        raise ShopAddressError(
            f"{netloc} is no host name. Check it for two dots in a row or a very long part."
        ) from None


def _bare_code(text: str) -> str:
    readings = _readings(text)
    if not readings and "://" in text:
        raise NotALabelError(f"{text} is no label of this shop. Scan the code on one of its labels.")
    return read_code(readings[0] if readings else text)


def _readings(text: str, foreign: bool = False) -> list[str]:
    """The right codes that the text can mean, typed on this keyboard or on another."""
    return [other for other in (text, *_other_keyboards(text, foreign)) if check_code(other)]


def _other_keyboards(text: str, foreign: bool) -> list[str]:
    """Only where another keyboard is certain: a person's dash must not be taken for the 6 of a French one."""
    if any(character in DIGITS for character in text):
        return []
    if not foreign and not any(character in _ONLY_FOREIGN for character in text.lower()):
        return []
    return [text.lower().translate(digits) for digits in _TYPED_DIGITS]
