"""The torch: what it burns, and which one a head needs."""

from __future__ import annotations

import math

from stampwright.base import JobError

PROPANE_NET_J_KG = 45.98e6  # 19 770 Btu/lb, after Menon; propylene is within 0.7 %
HAND_TORCH_G_H = 150.0  # a hand torch burns 80 to 250 g/h; common practice, no source
SHARE_BAND = (2 / 3, 5 / 3)  # 0.15 may be 0.10 to 0.25: how much of a flame a small part takes; common practice
LEAST_SHARE = 0.01  # below it a flame misses the head
LEAST_MARGIN = 1.25  # heat into the head over its losses, at the low end of the band; below it heating drags on


def burner_w(gas_g_h: float, *, net_j_kg: float = PROPANE_NET_J_KG) -> float:
    """Net heat of the gas a torch burns [W].

    >>> round(burner_w(150.0))  # by hand: 0.150 / 3600 * 45.98e6
    1916
    """
    return gas_g_h / 1000 / 3600 * net_j_kg


def torch_w(asked_w: float | None, *, share: float, loss_w: float) -> float:
    """Power of the torch the plan counts on [W]: the one asked for, or a hand torch, larger only for a large head.

    `loss_w` is what the head gives off at its working temperature. Raises `JobError` when the torch asked for might
    never bring it there (torch-too-weak), or `share` is no share of a flame on a head (share-too-small).
    """
    if share < LEAST_SHARE:
        detail = f"a head takes at least {LEAST_SHARE:g} of a flame, 0.10 to 0.25 as a rule; {share:g} was given"
        raise JobError.at("share-too-small", detail, pointer="/job/use/torch_share")
    needed_w = LEAST_MARGIN * loss_w / (share * SHARE_BAND[0])
    if asked_w is None:
        return max(burner_w(HAND_TORCH_G_H), math.ceil(needed_w / 100) * 100.0)
    if asked_w < needed_w:
        detail = (
            f"this head gives off {loss_w:.0f} W at its working temperature, and a torch of {asked_w:g} W may put no "
            f"more than {asked_w * share * SHARE_BAND[0]:.0f} W into it; take one of {needed_w:.0f} W or more"
        )
        raise JobError.at("torch-too-weak", detail, pointer="/job/use/torch_w")
    return asked_w
