"""Drawings of group 5 of ISO 6520-1, imperfect shape: the root of a butt weld."""

from typing import Final

from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings.vocabulary import (
    BEAD,
    BUTT,
    CROWN,
    FIELD,
    JOINT,
    ROOT_BEAD,
    Drawing,
    Part,
    above,
    across,
    air,
    alien,
    arrow,
    bead,
    dots,
    edge,
    fault,
    hole,
    measure,
    plate,
    root_side,
    wanted,
    weld,
)

_ROOT_HANGS: Final = "24 25 112 70"
_ROOT_NOTCH: Final = "C64 66 66 58 68.5 58C70.5 60 72 66 74 69"
_ROOT_NOTCH_RIGHT: Final = "C96 66 94 58 91.5 58C89.5 60 88 66 86 69"
_HOLE_LEFT: Final = "M52 38Q62 33 70 37C68 46 72 52 69 62 69 72 66 84 62 83S60 72 59 66"
_HOLE_RIGHT: Final = "M108 38Q98 33 91 37C93 46 88 52 91 62 91 68 93 76 96 75S100 70 101 66"

DRAWINGS: Final = {
    "shrinkage_groove": Drawing(
        (
            across(
                _("Beside the root bead, on both sides, a notch goes up into the metal."),
                plate(),
                air(f"M58 70V66{_ROOT_NOTCH}L76 74zM102 70V66{_ROOT_NOTCH_RIGHT}L84 74z"),
                weld(f"{CROWN}L91.5 58C89.5 60 88 66 86 69Q80 75 74 69C72 66 70.5 60 68.5 58z"),
                wanted("M58 66H73M87 66H102"),
                fault(f"M58 66{_ROOT_NOTCH}M102 66{_ROOT_NOTCH_RIGHT}"),
                box="24 18 112 70",
            ),
            root_side(
                _("Dark notches run along both sides of the root bead."),
                *ROOT_BEAD,
                hole(
                    "M22 42Q44 36.5 74 42zM82 42Q110 36 138 42z"
                    "M30 58Q64 64 96 58zM104 58Q122 63 140 58z"
                ),
            ),
        ),
    ),
    "excess_penetration": Drawing(
        (
            across(
                _("The root hangs far below the plate and its usual bead."),
                *BUTT,
                alien("M74 66C64 96 96 96 86 66Q80 73 74 66z"),
                box=_ROOT_HANGS,
            ),
            root_side(
                _("A heavy root bead with drops that hang from it."),
                FIELD,
                JOINT,
                alien(
                    "M10 50C10 38 30 36 42 40S58 32 68 37 84 42 92 38 112 33 120 39 150 38 150 50"
                    " 130 62 120 60 106 68 96 61 80 59 70 62 52 67 44 61 10 62 10 50z"
                ),
                Part("weld", dots((62, 50, 7), (106, 51, 8))),
            ),
        ),
    ),
    "burn_through": Drawing(
        (
            across(
                _(
                    "The pool has dropped through: a hole goes right through the weld, "
                    "and drops hang below it."
                ),
                plate(),
                air("M60 30H100L98 72H62z"),
                weld(f"{_HOLE_LEFT}z{_HOLE_RIGHT}z"),
                fault(_HOLE_LEFT + _HOLE_RIGHT),
                measure(arrow(80, 88, 90, 58)),
                box=_ROOT_HANGS,
            ),
            above(
                _("A ragged hole in the bead."),
                *BEAD,
                hole(
                    "M64 44C70 33 84 38 92 36 102 36 104 46 100 52 98 62 86 66 78 62"
                    " 66 64 60 54 64 44z"
                ),
            ),
        ),
    ),
    "root_concavity": Drawing(
        (
            across(
                _("The root is sucked up into a hollow above the dashed underside of the plate."),
                plate(),
                weld(f"{CROWN}L92 66Q80 44 68 66z"),
                air("M66.5 69L68.5 65Q80 46 91.5 65L93.5 69z"),
                wanted("M68 66H92"),
                fault("M68 66Q80 45 92 66"),
                box="24 18 112 70",
            ),
            root_side(
                _("A hollow channel runs along the root, where a bead should stand."),
                FIELD,
                JOINT,
                Part("air", "M20 42H140a8 8 0 0 1 0 16H20a8 8 0 0 1 0-16z"),
                edge("M22 45.5H138a4.5 4.5 0 0 1 0 9H22a4.5 4.5 0 0 1 0-9zM24 50H136"),
                fault("M20 42H140a8 8 0 0 1 0 16H20a8 8 0 0 1 0-16z"),
            ),
        ),
    ),
    "root_porosity": Drawing(
        (
            across(
                _("The root is full of small holes like a sponge."),
                plate(),
                weld(f"{CROWN}L88 66Q80 79 72 66z"),
                hole(
                    dots(
                        (75.5, 66, 1.8),
                        (80.5, 63, 1.7),
                        (85, 66.3, 1.7),
                        (80.3, 67.7, 1.9),
                        (76.8, 70.2, 1.3),
                        (83.7, 70.2, 1.3),
                        (77.3, 61.8, 1.3),
                        (84, 61, 1.4),
                        (80.4, 58.3, 1.1),
                    )
                ),
                box="24 18 112 70",
            ),
            root_side(
                _("Many small open holes in the root bead."),
                FIELD,
                JOINT,
                bead(40, 60),
                hole(
                    dots(
                        *((x, 46 + x % 5, 1.8) for x in range(20, 146, 12)),
                        *((x, 54 + x % 3, 2.2) for x in range(24, 142, 13)),
                        *((x, 56 - x % 11, 1.2) for x in range(26, 144, 12)),
                    )
                ),
            ),
        ),
        telling=1,
    ),
}
