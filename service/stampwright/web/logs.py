"""Logs as JSON, one event a line. The mark, file names and raw paths are never logged; line breaks come out escaped."""

from __future__ import annotations

import json
import logging
import time
import traceback

MOST_FRAMES = 12
_STANDARD = frozenset(vars(logging.makeLogRecord({}))) | {"message", "asctime", "taskName", "exc_info", "exc_text"}


class JsonLines(logging.Formatter):
    """A record as one line of JSON: time, level, logger, message and whatever `extra` it carries."""

    def format(self, record: logging.LogRecord) -> str:
        """Write one line; `ensure_ascii` escapes every control and line separator, so a line stays a line."""
        stamp = time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime(record.created)) + f".{int(record.msecs):03d}Z"
        line = {"time": stamp, "level": record.levelname, "logger": record.name, "message": record.getMessage()}
        extra = {name: value for name, value in vars(record).items() if name not in _STANDARD}
        if record.exc_info and record.exc_info[1]:
            extra |= where_it_broke(record.exc_info[1])
        return json.dumps(line | extra, default=str)


def where_it_broke(error: BaseException) -> dict[str, object]:
    """The kind of an error and its last frames, without its message: that may quote the mark."""
    frames = [f"{frame.filename}:{frame.lineno} {frame.name}" for frame in traceback.extract_tb(error.__traceback__)]
    return {"error": type(error).__name__, "frames": frames[-MOST_FRAMES:]}


def log_json(level: str) -> None:
    """Send the service's log to standard error as JSON. Raises ValueError for an unknown level."""
    handler = logging.StreamHandler()
    handler.setFormatter(JsonLines())
    logging.basicConfig(level=level.upper(), handlers=[handler], force=True)
