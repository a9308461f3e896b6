"""What the meters of the machine say: AC currents, volts, and the rules of thumb in amps."""

import math
from dataclasses import dataclass
from typing import Final

from weldlog.engine.facts import Process

THICKNESS_RULE_A_PER_MM: Final = 1000 / 25.4


@dataclass(frozen=True, slots=True)
class Current:
    """One current as three meters would show it [A]; electrode negative counts as positive."""

    mean_a: float
    rms_a: float
    dc_component_a: float


def square_wave(en_share: float, en_current_a: float, ep_current_a: float) -> Current:
    """Return the mean, the RMS and the DC component of a square-wave alternating current.

    mean = b In + (1 - b) Ip; RMS = sqrt(b In² + (1 - b) Ip²); DC = b In - (1 - b) Ip. The time of
    the transitions is neglected. With equal currents mean and RMS are that current.

    Parameters
    ----------
    en_share : float
        Share b of the cycle at electrode negative [0 to 1].
    en_current_a, ep_current_a : float
        Size of the current in each half [A].

    Source: an identity, heat notes 2.2 (CV18).

    >>> current = square_wave(0.70, 180, 120)
    >>> round(current.mean_a), round(current.rms_a, 3), round(current.dc_component_a)
    (162, 164.317, 90)
    """
    en, ep = en_share * en_current_a, (1 - en_share) * ep_current_a
    rms = math.sqrt(en * en_current_a + ep * ep_current_a)
    return Current(en + ep, rms, en - ep)


def sine_wave(peak_a: float) -> Current:
    """Return the rectified mean and the RMS of a sine-wave current from its peak [A].

    mean = 2 peak / pi; RMS = peak / sqrt 2. Source: an identity (CV20).

    >>> round(sine_wave(200).mean_a, 3), round(sine_wave(200).rms_a, 3)
    (127.324, 141.421)
    """
    return Current(2 * peak_a / math.pi, peak_a / math.sqrt(2), 0.0)


def tungsten_share(en_share: float, en_current_a: float = 1.0, ep_current_a: float = 1.0) -> float:
    """Return the share of the arc heat that goes into the tungsten: a teaching model only.

    30 % of the heat at electrode negative, 70 % at electrode positive, the same volts in both
    halves. Not a measurement, and never to be judged on.

    Parameters
    ----------
    en_share : float
        Share of the cycle at electrode negative [0 to 1].
    en_current_a, ep_current_a : float
        Size of the current in each half [A]; not both zero.

    Returns
    -------
    float
        Share of the heat [0 to 1].

    Source: memory-heat-split (CV21).

    >>> round(tungsten_share(0.65), 3), round(tungsten_share(0.70, 180, 120), 4)
    (0.44, 0.3889)
    """
    en, ep = en_share * en_current_a, (1 - en_share) * ep_current_a
    return (0.3 * en + 0.7 * ep) / (en + ep)


def conventional_load_voltage(process: Process, current_a: float) -> float:
    """Return the conventional load voltage [V] at a current [A].

    What a power source is tested at, and a stand-in where no volts were read; always labelled
    as assumed. GTAW 10 + 0.04 I up to 600 A; GMAW 14 + 0.05 I up to 600 A.

    Source: memory-iec-60974-1 (CV23).

    >>> conventional_load_voltage("GTAW", 150), conventional_load_voltage("GMAW", 200)
    (16.0, 24.0)
    """
    if process == "GTAW":
        return 10 + 0.04 * current_a
    return 14 + 0.05 * current_a


def thickness_rule_current_a(thickness_mm: float) -> float:
    """Return the GTAW current of the rule of thumb "one amp for each 0.001 in" [A].

    Good from about 1.5 to 6 mm; thinner metal takes up to about twice as much, thicker metal less.
    Source: heat-S52 (CV22).

    >>> round(thickness_rule_current_a(3.175), 6)
    125.0
    """
    return THICKNESS_RULE_A_PER_MM * thickness_mm


def postflow_rule_s(current_a: float) -> float:
    """Return how long the gas should flow after the arc [s]: 1 s for each 10 A, at least 8 s.

    Source: common practice, no source (CV47).

    >>> postflow_rule_s(150)
    15.0
    """
    return max(8.0, current_a / 10)
