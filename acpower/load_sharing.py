"""Share a spare current among charging stations.

Currents are in amperes per phase. The last axis of the requests runs over the stations in the order
of their coming, which settles every tie; axes before it, such as time, broadcast.

This is arithmetic. What a site may use, and whether a system may hold it to that, is for the local
code and a licensed electrician to say.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from acpower._checks import DUST, choice, magnitude, real, refusal, shorten

__all__ = ["CONNECTIONS", "SHARING_RULES", "share_current"]

SHARING_RULES = ("equal", "priority", "filling")

# The phases that a station loads, as the columns L1, L2, L3.
CONNECTIONS: Mapping[str, tuple[bool, bool, bool]] = MappingProxyType(
    {
        "L1": (True, False, False),
        "L2": (False, True, False),
        "L3": (False, False, True),
        "L1 L2 L3": (True, True, True),
    }
)

FLOOR = 6.0  # the smallest current that the control pilot can offer
CEILING = 80.0  # the largest


def share_current(
    available: ArrayLike, requests: ArrayLike, rule: str = "filling", phases: Sequence[str] | None = None
) -> NDArray[np.float64]:
    """Return what each station may offer so that together they stay within the spare current.

    Parameters
    ----------
    available : array_like
        Spare current of each phase [A], 0 or more: shape (...) if every station loads the same
        conductors, shape (..., 3) for L1, L2, L3 if ``phases`` is given. Where the rest of the
        building takes everything, enter 0.
    requests : array_like
        What each station could use [A], 0 to 80, shape (..., stations). 0 stands for nobody there.
    rule : {"filling", "equal", "priority"}, optional
        How to share; see the notes.
    phases : sequence of str, optional
        For each station "L1", "L2", "L3" or "L1 L2 L3".

    Returns
    -------
    ndarray
        Offer to each station [A], shape (..., stations): 0, which pauses it, or a whole number from
        6 A up to its request.

    Raises
    ------
    ValueError
        If a current lies outside its range, the rule is unknown, or ``phases`` does not name the
        phases of each station.

    Notes
    -----
    The sum of the offers on a phase never exceeds the spare current: NEC 2023 625.42(A), a managed
    group, as a guide to code changes reports it. No offer lies below 6 A, where the control pilot of
    IEC 61851-1 Annex A ends. A pilot could offer steps of 0.6 A; here offers are whole amperes, and
    requests and spare current are rounded down.

    - "priority": each station in turn takes all that it can use of what is left.
    - "equal": first 6 A go to each station in turn as long as they last. Those that have them share
      the spare current of their phase in equal parts; what one cannot use of its part stays unused.
    - "filling": the same start. Then, ampere by ampere and round by round, the offers of all rise
      together, like water between walls, until each has its request or its phase is full.

    A station that asks for less than 6 A gets 0. Where a paused station is left without 6 A, up to
    5 A may stay unused.

    Examples
    --------
    >>> share_current(32, [16, 8, 16], rule="equal")
    array([10.,  8., 10.])
    >>> share_current(32, [16, 8, 16], rule="filling")
    array([12.,  8., 12.])
    >>> share_current(32, [16, 8, 16], rule="priority")
    array([16.,  8.,  8.])
    >>> share_current([20, 32, 32], [16, 16], phases=["L1", "L1 L2 L3"])
    array([10., 10.])
    """
    known_rule = choice("rule", rule, SHARING_RULES)
    asked = np.atleast_1d(
        real(
            "requests",
            requests,
            "A",
            low=0.0,
            high=CEILING,
            allowed="0 to 80 A",
            check="the unit: no station offers more, and nobody there is 0",
        )
    )
    spare = magnitude(
        "available", available, "A", check="the sum: where the building takes everything, enter 0"
    )
    loads = _loads(phases, asked.shape[-1])
    if phases is None:
        spare = spare[..., np.newaxis]
    elif spare.shape[-1:] != (3,):
        raise refusal(
            "available", f"shape {spare.shape}", "L1, L2, L3 on the last axis", "that phases are meant"
        )
    try:
        lead = np.broadcast_shapes(spare.shape[:-1], asked.shape[:-1])
    except ValueError:
        raise refusal(
            "available and requests",
            f"shape {spare.shape[:-1]} with {asked.shape[:-1]} before the last axis",
            "shapes that broadcast",
            "that there are as many times in the one as in the other",
        ) from None
    wanted = np.floor(np.broadcast_to(asked, lead + asked.shape[-1:]) + DUST)
    spare = np.floor(np.broadcast_to(spare, lead + spare.shape[-1:]) + DUST)

    if known_rule == "priority":
        return _in_turn(spare, wanted, loads)
    started = _in_turn(spare, np.where(wanted >= FLOOR, FLOOR, 0.0), loads)
    if known_rule == "equal":
        return _equal_parts(spare, wanted, loads, started > 0)
    return _filled(spare, wanted, loads, started)


def _loads(phases: Sequence[str] | None, stations: int) -> NDArray[np.bool_]:
    """Return which conductors each station loads, shape (stations, conductors)."""
    if phases is None:
        return np.ones((stations, 1), dtype=bool)
    if not isinstance(phases, list | tuple) or len(phases) != stations:
        raise refusal(
            "phases", shorten(phases), f"a list with one entry for each of {stations} stations", "the list"
        )
    return np.array([CONNECTIONS[choice("phases", entry, CONNECTIONS)] for entry in phases])


def _in_turn(spare: NDArray[Any], wanted: NDArray[Any], loads: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Let each station take what it wants of what is left, or nothing where that is below the floor."""
    left = spare.copy()
    offers = np.zeros_like(wanted)
    for station, on in enumerate(loads):
        possible = np.minimum(wanted[..., station], left[..., on].min(axis=-1))
        offers[..., station] = np.where(possible >= FLOOR, possible, 0.0)
        left[..., on] -= offers[..., station, np.newaxis]
    return offers


def _equal_parts(
    spare: NDArray[Any], wanted: NDArray[Any], loads: NDArray[np.bool_], takes_part: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Divide the spare current of each conductor by the number of those that take part on it."""
    parts = np.floor(spare / np.maximum(takes_part @ loads.astype(float), 1.0))
    smallest = np.where(loads, parts[..., np.newaxis, :], np.inf).min(axis=-1)
    return np.where(takes_part, np.minimum(wanted, smallest), 0.0)


def _filled(
    spare: NDArray[Any], wanted: NDArray[Any], loads: NDArray[np.bool_], offers: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Raise the offers of all that take part by one ampere in turn until no one can take more."""
    left = spare - offers @ loads.astype(float)
    rising = True
    while rising:
        rising = False
        for station, on in enumerate(loads):
            offer = offers[..., station]
            step = (offer > 0) & (offer < wanted[..., station]) & (left[..., on].min(axis=-1) >= 1)
            offers[..., station] += step
            left[..., on] -= step[..., np.newaxis]
            rising |= bool(step.any())
    return offers
