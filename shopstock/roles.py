"""Who may do what: three groups, and one table of actions that pages, posts and tests read."""

from collections.abc import Callable
from functools import wraps

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

CLERK, LAMINATOR, OWNER = "clerk", "laminator", "owner"
ROLES = (CLERK, LAMINATOR, OWNER)
EVERYONE = frozenset(ROLES)
STORE = frozenset({CLERK, OWNER})

ACTIONS: dict[str, frozenset[str]] = {
    "look": EVERYONE,
    "receive": STORE,
    "import stock": STORE,
    "edit materials": STORE,
    "edit places": STORE,
    "cut": EVERYONE,
    "report a fault": EVERYONE,
    "quarantine": EVERYONE,
    "release": frozenset({OWNER}),
    "move": EVERYONE,
    "recount": STORE,
    "correct the ledger": frozenset({OWNER}),
    "print labels": EVERYONE,
    "receive resin": STORE,
    "draw resin": EVERYONE,
    "take out of order": STORE,
    "extend a date": STORE,
    "read the climate": EVERYONE,
    "manage sensors": frozenset({OWNER}),
    "answer warnings": EVERYONE,
    "plan jobs": frozenset({OWNER}),
    "confirm plans": frozenset({OWNER}),
    "pick another fabric": frozenset({OWNER}),
    "edit properties": frozenset({OWNER}),
    "order": frozenset({OWNER}),
    "trace": STORE,
    "audit": frozenset({OWNER}),
    "manage people": frozenset({OWNER}),
    "change settings": frozenset({OWNER}),
}


def role_of(user) -> str | None:
    """The person's group; one person holds one role. Read once per request and kept on the user."""
    if not user.is_authenticated:
        return None
    if not hasattr(user, "_shop_role"):
        names = set(user.groups.values_list("name", flat=True))
        user._shop_role = next((role for role in (OWNER, CLERK, LAMINATOR) if role in names), None)
    return user._shop_role


def may(user, action: str) -> bool:
    return role_of(user) in ACTIONS[action] and not _needs_password(user, action)


def _needs_password(user, action: str) -> bool:
    """What only the owner may do is not open to a PIN typed on a shared tablet."""
    return getattr(user, "signed_in_by_pin", False) and ACTIONS[action] == {OWNER}


def allow(action: str) -> Callable:
    """Let a view through only for the roles that ACTIONS names; `action` stays readable on the view for tests."""
    if action not in ACTIONS:
        raise KeyError(action)

    def decorate(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def guarded(request: HttpRequest, *args, **kwargs) -> HttpResponse:
            if not may(request.user, action):
                raise PermissionDenied(refusal(request.user, action))
            return view(request, *args, **kwargs)

        guarded.shop_action = action
        return guarded

    return decorate


def refusal(user, action: str) -> str:
    if role_of(user) in ACTIONS[action] and _needs_password(user, action):
        return f"To {action}, sign in with your password: a PIN on a shared tablet is not enough."
    roles = " or ".join(sorted(ACTIONS[action]))
    role = role_of(user)
    you = f"You are signed in as {role}." if role else "Your sign-in has no role yet; ask the owner for one."
    return f"Only the {roles} may {action}. {you}"
