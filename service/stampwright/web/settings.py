"""Every setting of the service: its default, its unit and why. Read from `STAMPWRIGHT_<NAME>` in the environment."""

from __future__ import annotations

import math
import os
from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

PREFIX = "STAMPWRIGHT_"
LEAST_FORM_BYTES = 131_072  # twice the read buffer of the form parser, which counts against files as well


def _setting(default: Any, unit: str, why: str) -> Any:  # noqa: ANN401  a dataclass field of the default's type
    return field(default=default, metadata={"unit": unit, "why": why})


def _cores() -> int:
    """How many cores this process may use; a quota of CPU time set by a container is not seen."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """All settings; the defaults suit one small machine on its loopback address."""

    host: str = _setting("127.0.0.1", "address", "nothing listens to the outside unless told to")
    port: int = _setting(8080, "port", "an unprivileged one")
    max_body_bytes: int = _setting(
        25_000_000,
        "bytes",
        "a mark and four fonts of 4 MB each; base64 adds a third, so it lets in three of these fonts",
    )
    max_job_bytes: int = _setting(
        262_144, "bytes", "a full rack written out has 5 kB; below 131072 the form parser refuses files too"
    )
    slots: int = _setting(
        _cores(),
        "processes",
        "jobs at the same time, one for each core; 0 works in the serving process, without limits",
    )
    queue: int = _setting(16, "jobs", "so many may wait for a slot; beyond that 503, sooner than a long wait")
    job_deadline_s: float = _setting(30.0, "s", "one job's time; a usual mark takes about 1 s")
    job_memory_mb: int = _setting(1024, "MiB", "one job's memory on top of the loaded program, which has about 100")
    max_answer_bytes: int = _setting(100_000_000, "bytes", "for a runaway: the solid of a small mark has 43 kB")
    threads: int = _setting(
        24, "threads", "requests in hand; at least those in slots and queue and 8 for health checks"
    )
    connection_limit: int = _setting(500, "connections", "an idle connection costs a descriptor and some kB")
    channel_timeout_s: int = _setting(15, "s", "a client that sends nothing for so long is hung up on")
    linger_s: float = _setting(0.5, "s", "after a stop signal, the time a balancer has to read /readyz")
    grace_s: float = _setting(30.0, "s", "after that, the time work in hand has to finish")
    trusted_proxy: str = _setting("", "address", "whose X-Forwarded headers are believed; none unless named")
    api_keys: str = _setting(
        "",
        "name:sha256, …",
        "who may ask /v1, by the SHA-256 of each key in hex, so that the keys stand nowhere; all when empty",
    )
    rate: str = _setting(
        "",
        "count/period",
        "requests of one key, or of one address without keys, such as 120/minute; no limit when empty",
    )
    cors_origins: str = _setting(
        "", "origins", "pages of other sites whose scripts may ask /v1, such as https://hives.example; * for all"
    )
    csp: str = _setting(
        "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        "policy",
        "the Content-Security-Policy of every answer: nothing is loaded, run or framed",
    )
    form_csp: str = _setting(
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
        "require-trusted-types-for 'script'; trusted-types 'none'",
        "policy",
        "the same for the order form: its own scripts, looks and pictures, and nothing of anybody else",
    )
    metrics: int = _setting(1, "0 or 1", "whether /metrics is served; 0 where the port is open to strangers")
    log_level: str = _setting("INFO", "level", "one line for each request")

    def __post_init__(self) -> None:
        if not 0 <= self.port <= 65535:
            raise ValueError(f"the port {self.port} is not within 0 to 65535")
        if self.max_job_bytes < LEAST_FORM_BYTES:
            raise ValueError(f"max_job_bytes must be at least {LEAST_FORM_BYTES}: below, uploads of files are refused")

    @classmethod
    def from_environment(cls, environment: Mapping[str, str]) -> Settings:
        """Read the settings named in `environment`. Raises ValueError that names the first unusable one."""
        given = {}
        for setting in fields(cls):
            name = PREFIX + setting.name.upper()
            if name in environment:
                given[setting.name] = _read(environment[name], kind=type(setting.default), name=name)
        return cls(**given)


def _read(text: str, *, kind: type, name: str) -> Any:  # noqa: ANN401
    try:
        value = kind(text)
    except ValueError:
        raise ValueError(f"{name}={text!r} is not of the kind {kind.__name__}") from None
    if isinstance(value, int | float) and not 0 <= value < math.inf:
        raise ValueError(f"{name}={text!r} must be a number from zero upwards")
    return value


SETTINGS = fields(Settings)
"""Name, default, and in the metadata unit and reason of each setting, for the documents."""
