"""Drawings of group 6 of ISO 6520-1, and of soot: what lies beside the weld."""

from typing import Final

from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings.vocabulary import (
    BEAD,
    FIELD,
    SHEET,
    WIDE_BUTT,
    Drawing,
    Part,
    above,
    across,
    air,
    alien,
    arrow,
    dots,
    edge,
    fault,
    hole,
    measure,
    ripples,
    wanted,
    weld,
)

_DRESSED: Final = (
    "M64 78C72 52 92 28 112 18 124 14 136 20 134 28 124 52 106 74 90 84 78 90 62 88 64 78z"
)
_PIT: Final = "M117 38Q122 33 124.5 38Q132 51 139.5 38Q142 33 147 38"
_BURN: Final = (
    "M104 30C102 25 108 24 110 20S119 20 121 22 129 22 129 27 132 33 127 35 120 40 115 38"
    " 106 36 104 30z"
)

DRAWINGS: Final = {
    "stray_arc": Drawing(
        (
            across(
                _("Beside the weld a small pit with a rim is melted into the plate."),
                *WIDE_BUTT,
                air("M122 34H142V38L136 45H128L122 38z"),
                wanted("M116 38Q118 55 132 55T148 38"),
                fault(_PIT),
                measure(arrow(132, 35, 90, 20)),
                box="46 8 112 70",
            ),
            above(
                _(
                    "Away from the bead a burned blot lies on the plate, "
                    "with a trail of small pits."
                ),
                FIELD,
                Part("edge", "M4 66H10M150 66H156"),
                weld("M24 52H136a14 14 0 0 1 0 28H24a14 14 0 0 1 0-28z"),
                ripples(range(24, 138, 9), 52, 80),
                fault(_BURN),
                hole(
                    dots((114, 29, 3.5), (122, 29, 2), (97, 33, 2), (90, 37, 1.6), (84, 40, 1.3))
                    + dots((134, 24, 1.3), (108, 43, 1.2), (128, 41, 1.4))
                ),
            ),
        ),
        telling=1,
    ),
    "spatter": Drawing(
        (
            across(
                _("Drops of metal sit on the plate on both sides of the weld."),
                *WIDE_BUTT,
                alien(
                    "".join(
                        f"M{x - r} 38a{r} {r + 1} 0 0 1 {2 * r} 0z"
                        for x, r in ((18, 7), (36, 5), (48, 3), (115, 5), (130, 4), (144, 7))
                    )
                ),
                box=SHEET,
            ),
            above(
                _("Round drops of several sizes lie scattered on both sides of the bead."),
                *BEAD,
                alien(
                    dots(
                        (20, 24, 4),
                        (38, 29, 3),
                        (54, 19, 5),
                        (72, 28, 3),
                        (90, 21, 4),
                        (110, 28, 4.5),
                        (127, 18, 3),
                        (143, 27, 4),
                        (26, 76, 3),
                        (44, 81, 5),
                        (62, 73, 3),
                        (82, 80, 5),
                        (102, 74, 3.5),
                        (120, 82, 4),
                        (140, 75, 3),
                    )
                ),
            ),
        ),
        telling=1,
    ),
    "grinding_mark": Drawing(
        (
            across(
                _("Beside the weld the plate is ground hollow, below its dashed surface."),
                *WIDE_BUTT,
                air("M96 30V34.8Q118 63 150 38V30z"),
                wanted("M96 35Q100 36 104 38H150"),
                fault("M96 35Q118 63 150 38"),
                measure(arrow(121, 48, 90, 26) + arrow(121, 67, 270, 10)),
                box="46 10 112 70",
            ),
            above(
                _("A patch of parallel scratches runs over the bead and the plate."),
                *BEAD,
                air(_DRESSED),
                edge(_DRESSED),
                fault(
                    "M70 80Q84 48 114 22M77 84Q94 50 122 20M85 84Q104 54 129 22M95 78Q112 58 131 32"
                    "M68 68Q80 44 100 28"
                ),
            ),
        ),
        telling=1,
    ),
    "soot": Drawing(
        (
            across(
                _("A thin black film lies on the plate on both sides of the weld."),
                *WIDE_BUTT,
                Part("smut", "M14 35.5H54M106 35.5H146M24 32.5H46M114 32.5H138"),
                box=SHEET,
            ),
            above(
                _(
                    "A dark band runs along both sides of the bead; "
                    "where a cloth has passed it is wiped off."
                ),
                *BEAD,
                Part(
                    "smut",
                    "".join(
                        f"M{16 + y % 3} {y}H{144 - y % 4}" for y in (19, 23, 27, 31, 69, 73, 77, 81)
                    ),
                ),
                Part("plate", "M92 13H112L105 34H85zM79 66H99L91 88H71z"),
            ),
        ),
        telling=1,
    ),
}
