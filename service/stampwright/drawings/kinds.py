"""Findings sorted for people: those of one kind and weight share a number; nobody reads one line ninety times."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stampwright.base import Finding, Severity
    from stampwright.review import Review

TOLD = 2  # sentences told of a kind, the worst ones; `stamp.json` holds them all


@dataclass(frozen=True, slots=True)
class Kind:
    """All listed findings of one code and severity, worst first."""

    number: int
    findings: tuple[Finding, ...]

    @property
    def code(self) -> str:
        """Code of all its findings."""
        return self.findings[0].code

    @property
    def severity(self) -> Severity:
        """Severity of all its findings."""
        return self.findings[0].severity

    @property
    def name(self) -> str:
        """Code, severity, and where: how many places when there are several, or that no place has it for its own."""
        places = f" · {len(self.findings)} places" if len(self.findings) > 1 else ""
        where = places if any(finding.at_mm for finding in self.findings) else " · no one place"
        return f"{self.code.replace('-', ' ')} · {self.severity}{where}"

    @property
    def told(self) -> tuple[str, ...]:
        """The worst of what is to say, each sentence once."""
        return tuple(dict.fromkeys(finding.says for finding in self.findings))[:TOLD]

    @property
    def rest(self) -> str:
        """What is said of the others."""
        told = self.told
        more = sum(finding.says not in told for finding in self.findings)
        return f"{more} more like {'it' if len(told) == 1 else 'these'} in stamp.json." if more else ""


def kinds_of(review: Review) -> list[Kind]:
    """Sort the findings of a review by kind, in the order in which the worst of each kind comes."""
    sorted_by_kind: dict[tuple[str, str], list[Finding]] = {}
    for finding in review.findings:
        sorted_by_kind.setdefault((finding.code, finding.severity), []).append(finding)
    return [Kind(number, tuple(found)) for number, found in enumerate(sorted_by_kind.values(), start=1)]


def unlisted(review: Review) -> str:
    """What is said of findings that the review counted without listing them."""
    if not review.findings_left_out:
        return ""
    found = sorted(review.findings_left_out.items())
    counted = ", ".join(f"{count} × {code.replace('-', ' ')}" for code, count in found)
    return f"Beyond the listed ones: {counted}."
