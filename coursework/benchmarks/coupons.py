"""Coupons to measure with: made up by a fixed seed, some good, some with a student's mistakes.

They are no data about anybody and stand for no school; what matters is that they hold about as
many members as a logged coupon and that every rule family has something to do.
"""

import json
import random
from collections.abc import Iterator
from typing import Any, Final

SEED: Final = 20260914
JOINTS: Final = {
    "fillet": ("tee", "lap"),
    "square_groove": ("butt",),
    "v_groove": ("butt",),
    "bead": ("bead_on_plate",),
}
FILLERS: Final = {
    "1100": ("1100", "4043"),
    "3003": ("4043", "1100"),
    "5052": ("5356", "4043"),
    "5083": ("5183", "5356"),
    "6061": ("4043", "5356"),
    "6063": ("4043", "5356"),
}
CLEANING: Final = (
    {"step": "degrease", "agent": "acetone", "tool": "lint_free_cloth"},
    {"step": "dry"},
    {
        "step": "remove_oxide",
        "tool": "stainless_hand_brush",
        "tool_kept_for": "aluminium_only",
        "pressure": "light",
        "stroke": "one_way",
    },
)
SEEN: Final = ("104", "2017", "303", "401", "5011", "503", "506")
A_PER_MM: Final = 39.4

type Document = dict[str, Any]


def coupons(number: int, seed: int = SEED) -> Iterator[Document]:
    """Yield so many coupons; the same ones for the same seed."""
    chance = random.Random(seed)  # noqa: S311 -- no secret is made of it
    for place in range(1, number + 1):
        coupon = _gtaw(chance) if chance.random() < 0.6 else _gmaw(chance)
        yield {"id": f"bench-{place}", **coupon, **_welded(chance), **_cleaned(chance)}


def as_lines(number: int, seed: int = SEED) -> Iterator[str]:
    """Yield the same coupons as lines of JSON."""
    for each in coupons(number, seed):
        yield json.dumps(each) + "\n"


def _metal(chance: random.Random, thicknesses: tuple[float, ...]) -> Document:
    thickness = chance.choice(thicknesses)
    alloy = chance.choice([*FILLERS])
    weld = chance.choice([*JOINTS])
    leg = round(thickness * chance.uniform(0.8, 1.4), 1)
    sizes = {"fillet": {"nominal_leg_mm": thickness, "leg_1_mm": leg, "leg_2_mm": leg + 0.3}}
    return {
        "joint": chance.choice(JOINTS[weld]),
        "weld": weld,
        "position": chance.choice(["PA", "PB", "PC", "PF"]),
        "base_metals": [
            {
                "alloy": alloy,
                "thickness_mm": thickness,
                "stored": "indoors",
                "coating": "none",
                "edge": chance.choice(["sawn", "sheared", "as_supplied"]),
            }
        ],
        "filler": {"designation": chance.choice(FILLERS[alloy]), "condition": "wiped"},
        **(sizes if weld == "fillet" else {}),
    }


def _gtaw(chance: random.Random) -> Document:
    coupon = _metal(chance, (1.6, 2.0, 3.0, 3.2, 4.8))
    thickness = coupon["base_metals"][0]["thickness_mm"]
    coupon["filler"] |= {"form": "cut_length", "diameter_mm": 2.4}
    return coupon | {
        "process": "GTAW",
        "polarity": chance.choices(["AC", "DCEN"], [19, 1])[0],
        "ac": {"en_percent": chance.choice([65, 70, 75, 30]), "frequency_hz": 100},
        "tungsten": {"type": "lanthanated", "diameter_mm": 2.4, "touched_pool": False},
        "current_a": round(A_PER_MM * thickness * chance.uniform(0.7, 1.4)),
        "voltage_v": round(chance.uniform(11, 16), 1),
        "travel_speed_mm_s": round(chance.uniform(1.5, 6), 2),
        "gas_flow_l_min": chance.choice([3, 7, 8, 9, 10, 12]),
        "arc_length_mm": chance.choice([2, 2.4, 3, 5]),
    }


def _gmaw(chance: random.Random) -> Document:
    coupon = _metal(chance, (3.0, 4.8, 6.0))
    coupon["filler"] |= {"form": "spool", "diameter_mm": 1.2}
    current = round(chance.uniform(110, 220))
    return coupon | {
        "process": "GMAW",
        "transfer": chance.choice(["spray", "pulsed"]),
        "polarity": chance.choices(["DCEP", "DCEN"], [19, 1])[0],
        "current_a": current,
        "voltage_v": round(chance.uniform(19, 26), 1),
        "wire_feed_mm_s": round(current * chance.uniform(0.8, 1.1), 1),
        "travel_speed_mm_s": round(chance.uniform(6, 16), 2),
        "gas_flow_l_min": chance.choice([10, 15, 16, 18, 20]),
        "nozzle_to_work_mm": chance.choice([12, 14, 16, 22]),
        "wire_feed_path": {"feeder": "push_pull", "rolls": "u_groove", "liner": "polymer"},
    }


def _welded(chance: random.Random) -> Document:
    seen = chance.sample(SEEN, chance.choices([0, 1, 2], [5, 3, 2])[0])
    return {
        "voltage_read": "display",
        "weld_length_mm": chance.choice([100, 150, 200]),
        "shielding_gas": "argon",
        "draught": chance.random() < 0.05,
        "torch_angle_deg": chance.choice([8, 10, 12, 15, -5]),
        "crater_filled": chance.random() < 0.8,
        "imperfections": [{"number": each} for each in seen],
    }


def _cleaned(chance: random.Random) -> Document:
    steps = [dict(each) for each in CLEANING]
    if chance.random() < 0.15:
        chance.shuffle(steps)
    if chance.random() < 0.15:
        steps.pop()
    return {"cleaning": steps, "minutes_since_cleaning": chance.choice([5, 10, 20, 45, 300])}
