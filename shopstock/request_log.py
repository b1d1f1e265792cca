"""Log lines as JSON, each with the number of the request it belongs to, and nothing personal but a user's number."""

import datetime
import json
import logging
from contextvars import ContextVar

current_request: ContextVar[str] = ContextVar("current_request", default="")


class JsonLines(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        line = {
            "at": datetime.datetime.fromtimestamp(record.created, datetime.UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
        }
        if number := current_request.get():
            line["request"] = number
        line |= getattr(record, "told", {})
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)
