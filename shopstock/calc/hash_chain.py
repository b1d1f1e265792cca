"""A chain of hashes over the lines of a ledger: each line's link covers the line and the link before it."""

import datetime
import hashlib
import json

START = ""
FORM = 1  # of the text that is hashed; a change of it needs a new number here and both kept in `link`


def canonical(content: dict[str, object]) -> bytes:
    """The one way a line is written down to be hashed.

    UTF-8 JSON with sorted names, no spaces, nothing escaped that need not be; instants as UTC to the microsecond.
    What is empty (None or "") is left out, so that a column added later leaves earlier lines as they were.

    `content`: names to whole numbers, text, instants with a time zone, or None. Raises TypeError for anything else.
    Worked: {"delta_mm": -50, "reason": ""} is written {"delta_mm":-50}.
    """
    kept = {name: _plain(value) for name, value in content.items() if value is not None and value != ""}
    return json.dumps(kept, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode("utf-8", "surrogatepass")


def _plain(value: object) -> int | str:
    if isinstance(value, datetime.datetime):
        return value.astimezone(datetime.UTC).isoformat(timespec="microseconds")
    if isinstance(value, bool) or not isinstance(value, (int, str)):
        raise TypeError(f"{value!r} has no place in a line of the ledger")
    return str(value) if isinstance(value, str) else int(value)


def link(previous: str, content: dict[str, object]) -> str:
    """The link of a line: SHA-256, in 64 hexadecimal digits, over form, link before it, and the line.

    `previous`: the link of the line before, `START` for the first of a roll or container. `content`: see `canonical`.
    Source: FIPS 180-4. Worked: link("", {}) is the hash of the bytes "1\\n\\n{}".
    """
    return hashlib.sha256(f"{FORM}\n{previous}\n".encode() + canonical(content)).hexdigest()
