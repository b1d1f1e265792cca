"""The code that stands on every roll, offcut, container, place and ticket: seven characters, the last a check.

Left out of the alphabet: I L O U, taken for 1 1 0 V; Y Z, which change places on a German keyboard; A Q W M, which
move on a French one, so that a scanner that types like a keyboard is not misread. 26 characters are left, the number
for which ISO/IEC 7064 has the system MOD 27,26. A code starts with a letter so that no spreadsheet takes it for a
number (0012345, 12E4567).
"""

import secrets
import unicodedata

DIGITS = "0123456789"
LETTERS = "BCDEFGHJKNPRSTVX"
ALPHABET = DIGITS + LETTERS
CODE_LENGTH = 7
_LONGEST_TOLD = 20
CODE_COUNT = len(LETTERS) * len(ALPHABET) ** (CODE_LENGTH - 2)

_FIRST_GROUP = 3
# Shares no factor with CODE_COUNT, so every number keeps a code of its own; near 0.618 of it, so that rolls booked in
# one after the other do not get codes that look alike.
_SPREAD = 117_499_423
_SEPARATORS = set(" \t\r\n\u00a0-_.\u2010\u2011\u2012\u2013\u2014\u2212")
_TYPED_LOOK_ALIKES = str.maketrans("OILZ", "0112")
_READ_LOOK_ALIKES = {frozenset(pair) for pair in ("8B", "5S", "6G", "0D", "17", "2Z", "VU", "EF", "CG", "PR", "3B")}


class WrongCodeError(ValueError):
    """The text is no code of this shop; the message says what is wrong with it."""


def hybrid_check_character(body: str, alphabet: str) -> str:
    """Return the check character of `body` by the ISO/IEC 7064 hybrid system MOD N+1,N, N being the alphabet's size.

    body: characters, all in alphabet, no unit. alphabet: each character once, an even number of them (with an odd
    number a wrong character could pass). Result: one character of alphabet.
    Raises ValueError for an odd alphabet or a character outside it.
    Source: ISO/IEC 7064, hybrid systems.
    Worked: MOD 37,36 over 0-9 A-Z gives M for A12425GABC1234002; MOD 11,10 over 0-9 gives 5 for 0794.
    """
    size = len(alphabet)
    if size % 2:
        raise ValueError(f"The alphabet has {size} characters; a hybrid system needs an even number.")
    product = size
    for character in body:
        total = (product + alphabet.index(character)) % size or size
        product = total * 2 % (size + 1)
    return alphabet[(1 - product) % size]


def make_code(number: int | None = None) -> str:
    """Return the code of a running number, or of a random one.

    number: 0 to CODE_COUNT - 1 (190,102,015), no unit; None takes a random one. Result: 7 characters of ALPHABET, the
    first a letter, the last the check. Two numbers never share a code.
    Raises ValueError when the number lies outside the range.
    Source: own numbering; check by ISO/IEC 7064 MOD 27,26.
    Worked: make_code(0) is B000008.
    """
    if number is None:
        number = secrets.randbelow(CODE_COUNT)
    if not 0 <= number < CODE_COUNT:
        raise ValueError(f"Codes are made from numbers 0 to {CODE_COUNT - 1}, not {number}.")
    body = _body(number * _SPREAD % CODE_COUNT)
    return body + hybrid_check_character(body, ALPHABET)


def normalise_code(text: str) -> str:
    """Return typed text as a code would be written: capitals, no spaces or dashes, O for 0, I and L for 1, Z for 2.

    text: as typed. Result: the same characters tidied; not yet known to be a code. Raises nothing.
    Source: own rule; none of O I L Z is in ALPHABET, so nothing right is changed.
    Worked: " b7o-2f9l " becomes B702F91.
    """
    plain = "".join(unicodedata.normalize("NFKC", character) for character in text)
    kept = (_upper_ascii(character) for character in plain if character not in _SEPARATORS)
    return "".join(kept).translate(_TYPED_LOOK_ALIKES)


def check_code(text: str) -> bool:
    """Return whether the text, once normalised, is a whole code with the right check character.

    text: as typed or scanned. Result: True or False. Raises nothing.
    Source: ISO/IEC 7064 MOD 27,26.
    Worked: B000008 and "b00 0008" are right, B000009 is not.
    """
    return not explain_wrong_code(text)


def read_code(text: str) -> str:
    """Return the code meant by typed text.

    text: as typed or scanned. Result: 7 characters of ALPHABET.
    Raises WrongCodeError, whose message says what is wrong and what to do.
    Source: normalise_code, then explain_wrong_code.
    Worked: "b00-0oo8" is B000008.
    """
    wrong = explain_wrong_code(text)
    if wrong:
        raise WrongCodeError(wrong)
    return normalise_code(text)


def explain_wrong_code(text: str) -> str:
    """Return what is wrong with a typed code and what to do, or an empty text when it is right.

    text: as typed. Result: one or two sentences, or "". Raises nothing.
    Source: ISO/IEC 7064 MOD 27,26 for the last step.
    Worked: B00008 is told that a code has 7 characters and that it has 6.
    """
    code = normalise_code(text)
    if not code:
        return f"No code was given. Type the {CODE_LENGTH} characters that stand large on the label."
    unused = [character for character in dict.fromkeys(code) if character not in ALPHABET]
    if unused:
        return f"No code has {_list_of(unused)} in it. Read the large characters on the label again."
    if len(code) != CODE_LENGTH:
        told = code if len(code) <= _LONGEST_TOLD else f"{code[:_LONGEST_TOLD]}…"
        return f"A code has {CODE_LENGTH} characters; {told} has {len(code)}. Type it again from the label."
    if code[0] not in LETTERS:
        return f"A code starts with a letter; {group_code(code)} starts with {code[0]}. Read the first character again."
    if hybrid_check_character(code[:-1], ALPHABET) != code[-1]:
        return f"{group_code(code)} does not check: a character is wrong or two are swapped. Compare it with the label."
    return ""


def near_codes(text: str) -> list[str]:
    """Return the right codes that differ from a wrong one by one character or by two neighbours swapped.

    text: as typed. Result: codes, the likeliest first: characters that look alike, then swaps, then the rest. A right
    code returns only itself; a text of another length returns none. Raises nothing.
    Source: ISO/IEC 7064 MOD 27,26 leaves at most one right character for each position.
    Worked: B000080 offers B000008, whose last two characters were swapped.
    """
    code = normalise_code(text)
    if check_code(code):
        return [code]
    if len(code) != CODE_LENGTH:
        return []
    changed = [(_changes_look_alike(code, other), other) for other in _one_changed(code) if check_code(other)]
    alike = [other for looks_alike, other in changed if looks_alike]
    unlike = [other for looks_alike, other in changed if not looks_alike]
    swapped = [other for other in _two_swapped(code) if check_code(other)]
    return list(dict.fromkeys(alike + swapped + unlike))


def group_code(code: str) -> str:
    """Return the code in two groups, as it is printed and read aloud.

    code: characters. Result: the first three, a space, the rest. Raises nothing.
    Source: own rule.
    Worked: B000008 is shown as B00 0008.
    """
    return f"{code[:_FIRST_GROUP]} {code[_FIRST_GROUP:]}"


def _body(number: int) -> str:
    rest, places = number, []
    for _ in range(CODE_LENGTH - 2):
        rest, place = divmod(rest, len(ALPHABET))
        places.append(ALPHABET[place])
    return LETTERS[rest] + "".join(reversed(places))


def _upper_ascii(character: str) -> str:
    return character.upper() if character.isascii() else character


def _one_changed(code: str) -> list[str]:
    return [code[:place] + new + code[place + 1 :] for place in range(len(code)) for new in ALPHABET]


def _two_swapped(code: str) -> list[str]:
    return [code[:p] + code[p + 1] + code[p] + code[p + 2 :] for p in range(len(code) - 1)]


def _changes_look_alike(code: str, other: str) -> bool:
    return any(frozenset(pair) in _READ_LOOK_ALIKES for pair in zip(code, other, strict=True))


def _list_of(characters: list[str]) -> str:
    *rest, last = characters
    return f"{', '.join(rest)} or {last}" if rest else last
