"""What stands around every request: its number and log line, headers, shared tablets."""

import logging
import time
import uuid
from collections.abc import Callable

from django.conf import settings
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse

from .models.shop import shop_read_once
from .request_log import current_request
from .tablets import BY_PIN, tablet_of

log = logging.getLogger("shopstock.requests")
Answer = Callable[[HttpRequest], HttpResponse]


class RequestLog:
    """Give each request a number, and write one line about it: no name, no address of a person, no form content."""

    def __init__(self, get_response: Answer):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        request.number = uuid.uuid4().hex[:16]
        token = current_request.set(request.number)
        start = time.perf_counter()
        try:
            with shop_read_once():
                response = self.get_response(request)
            self._write(request, response.status_code, time.perf_counter() - start)
            response["X-Request-Id"] = request.number
            return response
        finally:
            current_request.reset(token)

    def _write(self, request: HttpRequest, status: int, seconds: float) -> None:
        slow = seconds >= settings.SLOW_REQUEST_SECONDS
        match = request.resolver_match
        told = {
            "method": request.method,
            "page": match.url_name if match else "unknown",
            "status": status,
            "ms": round(seconds * 1000, 1),
            "user": getattr(getattr(request, "_cached_user", None), "pk", None),
        }
        log.log(logging.WARNING if slow else logging.INFO, "slow request" if slow else "request", extra={"told": told})


class ContentSecurityPolicy:
    """Pages load nothing but what this program serves, and run no script that is not a file of it."""

    POLICY = "; ".join(
        (
            "default-src 'self'",
            "img-src 'self' data: blob:",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'self'",
            "frame-ancestors 'none'",
        )
    )

    def __init__(self, get_response: Answer):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.setdefault("Content-Security-Policy", self.POLICY)
        response.setdefault("Permissions-Policy", "camera=(self), geolocation=(), microphone=(), payment=()")
        if request.resolver_match and "Cache-Control" not in response:
            response["Cache-Control"] = "private, no-cache"  # a shared computer keeps no page after sign-out
        return response


class TabletSignIn:
    """A sign-in by PIN ends when the tablet lies idle or is no shop tablet any more, and opens no owner's page."""

    def __init__(self, get_response: Answer):
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if number := request.session.get(BY_PIN):
            tablet = tablet_of(request)
            if tablet is None or tablet.pk != number:
                logout(request)
            else:
                request.session.set_expiry(settings.TABLET_IDLE_SECONDS)
                request.user.signed_in_by_pin = True
        return self.get_response(request)
