"""What operators watch, in the text format of Prometheus: one process serves, so one registry tells all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, ProcessCollector, generate_latest

if TYPE_CHECKING:
    from stampwright.slots import Compute, Ended

REQUEST_S = (0.005, 0.025, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60)
STAGE_S = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
PEAK_BYTES = tuple(mib << 20 for mib in (128, 192, 256, 384, 512, 768, 1024, 1536, 2048))


class Metrics:
    """The metrics of one application. Labels are rules, tasks and outcomes, never what a caller sent."""

    def __init__(self) -> None:
        self.registry = registry = CollectorRegistry()
        ProcessCollector(registry=registry)
        self._requests = Counter(
            "stampwright_requests", "Requests answered.", ["rule", "method", "status"], registry=registry
        )
        self._request_s = Histogram(
            "stampwright_request_seconds", "Time to answer.", ["rule"], buckets=REQUEST_S, registry=registry
        )
        self._jobs = Counter("stampwright_jobs", "Jobs that have ended.", ["task", "outcome"], registry=registry)
        self._cpu_s = Counter("stampwright_job_cpu_seconds", "CPU time of jobs.", ["task"], registry=registry)
        self._waited_s = Histogram(
            "stampwright_queue_seconds", "Time of a job in the queue.", buckets=STAGE_S, registry=registry
        )
        self._stage_s = Histogram(
            "stampwright_stage_seconds", "Time of a job by stage.", ["stage"], buckets=STAGE_S, registry=registry
        )
        self._peak = Histogram(
            "stampwright_job_peak_bytes", "Largest memory of a job.", buckets=PEAK_BYTES, registry=registry
        )

    def attach(self, compute: Compute) -> None:
        """Watch `compute`: its jobs as they end, its load at each reading."""
        compute.watch(self._ended)
        for name, help_text, read in (
            ("slots_up", "Slots that are up.", lambda: compute.load().up),
            ("slots_busy", "Slots at work.", lambda: compute.load().busy),
            ("jobs_waiting", "Jobs that wait for a slot.", lambda: compute.load().waiting),
        ):
            Gauge(f"stampwright_{name}", help_text, registry=self.registry).set_function(read)

    def answered(self, *, rule: str, method: str, status: int, seconds: float) -> None:
        """Count one request."""
        self._requests.labels(rule, method, str(status)).inc()
        self._request_s.labels(rule).observe(seconds)

    def text(self) -> bytes:
        """All metrics as they stand."""
        return generate_latest(self.registry)

    def _ended(self, ended: Ended) -> None:
        self._jobs.labels(ended.task, ended.outcome).inc()
        self._cpu_s.labels(ended.task).inc(ended.cpu_s)
        self._waited_s.observe(ended.waited_s)
        if ended.peak_mb:
            self._peak.observe(ended.peak_mb * (1 << 20))
        for stage, seconds in ended.stages_s.items():
            self._stage_s.labels(stage).observe(seconds)
