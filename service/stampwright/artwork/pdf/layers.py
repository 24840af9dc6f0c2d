"""Optional content: which layers are switched off (ISO 32000-1, 8.11)."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pikepdf

from .objects import entry, identity, items, name

if TYPE_CHECKING:
    from collections.abc import Iterable


_MOST_TERMS = 8  # terms in a visibility expression, and within each other: more than any program writes


class Layers:
    """The layers of a file in its default configuration."""

    def __init__(self, root: object) -> None:
        usual = entry(entry(root, "/OCProperties"), "/D")
        self._on = {identity(group) for group in items(entry(usual, "/ON"))}
        self._off = {identity(group) for group in items(entry(usual, "/OFF"))}
        self._all_off = name(entry(usual, "/BaseState")) == "OFF"

    def hides(self, content: object) -> bool:
        """Whether what belongs to a group, or to a membership of groups, is not shown."""
        if not isinstance(content, pikepdf.Dictionary):
            return False
        if name(entry(content, "/Type")) != "OCMD":
            return self._is_off(content)
        expression = entry(content, "/VE")
        if isinstance(expression, pikepdf.Array):
            return not self._holds(expression, _MOST_TERMS)
        groups = entry(content, "/OCGs")
        listed = items(groups) if isinstance(groups, pikepdf.Array) else [groups]
        return _hidden_by(
            name(entry(content, "/P")), [self._is_off(each) for each in listed if isinstance(each, pikepdf.Dictionary)]
        )

    def _holds(self, term: object, depth: int) -> bool:
        """A visibility expression: groups under And, Or and Not."""
        if not isinstance(term, pikepdf.Array):
            return not self._is_off(term)
        operator, *operands = items(term) or [None]
        if depth == 0 or not operands:
            return True
        found = [self._holds(operand, depth - 1) for operand in operands[:_MOST_TERMS]]
        return not found[0] if name(operator) == "Not" else any(found) if name(operator) == "Or" else all(found)

    def _is_off(self, group: object) -> bool:
        found = identity(group)
        return found not in self._on if self._all_off else found in self._off


def _hidden_by(policy: str, off: Iterable[bool]) -> bool:
    """Table 99: visible if any is on unless the policy says otherwise; a membership of none is visible."""
    states = list(off)
    if not states:
        return False
    shown = {
        "AllOn": not any(states),
        "AnyOff": any(states),
        "AllOff": all(states),
    }
    return not shown.get(policy, not all(states))
