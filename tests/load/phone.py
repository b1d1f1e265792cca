"""A signed-in device: one kept connection, its cookies, its CSRF token, and what it was answered."""

import http.client
import time
from http.cookies import SimpleCookie
from urllib.parse import urlencode

from tests.load.store import PASSWORD

FORM = {"Content-Type": "application/x-www-form-urlencoded"}
JSON = {"Accept": "application/json"}


class Phone:
    def __init__(self, port: int, name: str):
        self.port, self.name = port, name
        self.cookies: dict[str, str] = {}
        self.connection: http.client.HTTPConnection | None = None

    def sign_in(self) -> "Phone":
        self.get("/sign-in/")
        status, _ = self.post("/sign-in/", {"username": self.name, "password": PASSWORD})
        if status != 302 or "sessionid" not in self.cookies:
            raise SystemExit(f"{self.name} could not sign in: {status}")
        return self

    def get(self, address: str, headers: dict[str, str] | None = None) -> tuple[int, bytes]:
        return self._ask("GET", address, None, headers or {})

    def post(self, address: str, form: dict, headers: dict[str, str] | None = None) -> tuple[int, bytes]:
        token = {"X-CSRFToken": self.cookies.get("csrftoken", "")}
        return self._ask("POST", address, urlencode(form), FORM | token | (headers or {}))

    def timed(self, ask, *arguments) -> tuple[int, bytes, float]:
        start = time.perf_counter()
        status, body = ask(*arguments)
        return status, body, (time.perf_counter() - start) * 1000

    def hang_up(self) -> None:
        if self.connection is not None:
            self.connection.close()
            self.connection = None

    def _ask(self, method: str, address: str, body, headers: dict[str, str]) -> tuple[int, bytes]:
        if self.connection is None:
            self.connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        cookies = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        try:
            self.connection.request(method, address, body, headers | ({"Cookie": cookies} if cookies else {}))
            answer = self.connection.getresponse()
            content = answer.read()
        except (OSError, http.client.HTTPException):
            self.hang_up()
            raise
        for value in answer.headers.get_all("Set-Cookie") or ():
            self.cookies |= {name: morsel.value for name, morsel in SimpleCookie(value).items()}
        return answer.status, content


def percentile(times: list[float], share: float) -> float:
    ordered = sorted(times)
    return round(ordered[min(len(ordered) - 1, int(share * len(ordered)))], 1) if ordered else 0.0
