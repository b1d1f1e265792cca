"""The chain over the lines of one roll or container; its head stands on the roll or container itself.

One chain for each, not one for all: whoever writes holds the write lock of that row already, so the chain makes nobody
wait. The count beside the head tells when the last lines are gone, which the links alone cannot.
"""

from shopstock.calc.hash_chain import link

OWNERS = ("roll", "container")
NOT_CONTENT = {"id", "link", *OWNERS}


def content_of(line, code: str) -> dict[str, object]:
    """What of a line is hashed: every column but its number and its link, and the code of what it belongs to."""
    columns = [field for field in line._meta.concrete_fields if field.name not in NOT_CONTENT]
    return {"of": code} | {field.attname: getattr(line, field.attname) for field in columns}


def chain_on(owner, line) -> None:
    """Give a new line its link and move the head of its roll or container; the caller saves both."""
    owner.last_link = line.link = link(owner.last_link, content_of(line, owner.code))
    owner.line_count += 1
