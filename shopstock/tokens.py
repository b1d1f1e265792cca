"""Secrets that stand in an address or a header. Only their hash is kept: who reads the database cannot use them."""

import hashlib
import secrets


def new_token() -> tuple[str, str]:
    """A secret to show once, and its hash to keep."""
    token = secrets.token_urlsafe(32)
    return token, hash_of(token)


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
