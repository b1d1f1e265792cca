import re
from urllib.parse import unquote, urlsplit

from django import forms

_CODE_IN_ADDRESS = re.compile(r"/(?:r|c|rolls|containers?)/([^/]+)/?$", re.IGNORECASE)


class FindForm(forms.Form):
    q = forms.CharField(max_length=200, required=False)


def code_or_words(text: str) -> str:
    """What stands on a label when a whole address was scanned; otherwise the text as typed."""
    if "://" not in text:
        return text
    found = _CODE_IN_ADDRESS.search(unquote(urlsplit(text).path))
    return found[1] if found else text
