"""Drawings of what a fillet and its parts show, of groups 5 and 6 of ISO 6520-1."""

from typing import Final

from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings.vocabulary import (
    FIELD,
    FILLET,
    FILLET_WANTED,
    SHEET,
    TEE,
    UPRIGHT_EDGE,
    Drawing,
    Part,
    View,
    above,
    across,
    alien,
    arrow,
    block,
    edge,
    fault,
    fillet_above,
    hole,
    measure,
    plate,
    ripples,
    wanted,
    weld,
)

_SIDE: Final = _("From the side")

DRAWINGS: Final = {
    "convexity": Drawing(
        (
            across(
                _("The face of the fillet bulges far beyond the dashed line from toe to toe."),
                *FILLET,
                alien("M62 34C92 22 110 42 96 68L62 34z"),
                box=SHEET,
            ),
            above(
                _("A thick rope of a bead in the corner, with steep toes."),
                FIELD,
                UPRIGHT_EDGE,
                weld("M4 28H156V60H4z"),
                ripples(range(18, 156, 10), 36, 52),
                edge("M4 32H156M4 36H156M4 52H156M4 56H156"),
                fault("M4 28H156M4 60H156"),
            ),
        ),
    ),
    "unequal_legs": Drawing(
        (
            across(
                _(
                    "The leg on the flat plate is three times as long as that on the upright; "
                    "dashed is a fillet of equal legs."
                ),
                *TEE,
                weld("M62 50Q88 56 118 68Q84 76 58 72Q57 60 62 50z"),
                FILLET_WANTED,
                fault("M62 50Q88 56 118 68"),
                measure(
                    "M62 89V99M118 70V99M43 50H33"
                    + arrow(62, 95, 0, 56)
                    + arrow(118, 95, 180, 9)
                    + arrow(38, 50, 270, 18)
                    + arrow(38, 68, 90, 9)
                ),
                box=SHEET,
            ),
            above(
                _("The bead lies far out on the flat plate, beyond the dashed line."),
                *fillet_above(76, range(22, 156, 10)),
                wanted("M4 58H156"),
                fault("M4 76H156"),
            ),
        ),
    ),
    "throat_small": Drawing(
        (
            across(
                _(
                    "The face lies inside the dashed line of the fillet wanted; "
                    "arrows show the throat."
                ),
                *TEE,
                weld("M62 42Q66 62 88 68Q76 74 58 72Q57 56 62 42z"),
                FILLET_WANTED,
                fault("M62 42Q66 62 88 68"),
                measure(arrow(72, 58, 45, 30) + arrow(62, 68, 225, 18)),
                box=SHEET,
            ),
            above(
                _("A narrow bead that ends short of the dashed line."),
                *fillet_above(44, range(14, 156, 8)),
                wanted("M4 60H156"),
                fault("M4 44H156"),
            ),
        ),
    ),
    "throat_large": Drawing(
        (
            across(
                _("The fillet is far larger than the one wanted; arrows show the throat."),
                *FILLET,
                alien("M62 14L116 68H96L62 34z"),
                measure(arrow(91, 39, 45, 22) + arrow(62, 68, 225, 18)),
                box=SHEET,
            ),
            above(
                _("A wide bead that runs out far beyond the width wanted."),
                *fillet_above(58),
                alien("M4 58H156V82H4z"),
            ),
        ),
    ),
    "distortion": Drawing(
        (
            across(
                _(
                    "The fillet has pulled the flat plate up and the upright over; "
                    "dashed is where they belong."
                ),
                Part("plate", "M4 70H64Q84 70 152 46q-1 4 2 8t1 8Q86 86 64 86H4q3-4 0-8t0-8z"),
                Part("plate", "M44 70L51 8q4-2 8.5-.5t9 .5L62 70z"),
                weld("M65 40Q80 54 92 66.5Q80 76 58 74Q58 54 65 40z"),
                wanted("M92 70H156M44 66V8M62 34V8"),
                fault("M92 66.5Q116 60 152 46"),
                measure(arrow(140, 52, 270, 16)),
                box=SHEET,
            ),
            View(
                _SIDE,
                _("The part lies on a flat table and touches it at the ends only."),
                (
                    edge("M4 84H156" + "".join(f"M{x} 84l-6 8" for x in range(16, 160, 20))),
                    Part("plate", "M8 74Q80 34 152 74V84Q80 46 8 84z"),
                    fault("M8 84Q80 46 152 84"),
                    measure(arrow(80, 66.5, 270, 16) + arrow(80, 83, 90, 14)),
                ),
            ),
            above(
                _("The long edges have drawn in where the weld shrank; dashed is where they were."),
                Part("plate", "M8 12Q80 26 152 12V88Q80 74 8 88z"),
                Part("plate", "M8 42Q80 47 152 42V50Q80 54 8 50z"),
                weld("M14 50.5Q80 54.5 146 50.5V62Q80 66 14 62z"),
                wanted("M8 12H152M8 88H152"),
                fault("M8 12Q80 26 152 12M8 88Q80 74 152 88"),
            ),
        ),
    ),
    "fillet_gap": Drawing(
        (
            across(
                _("The upright does not touch the flat plate; arrows show the gap."),
                plate(70, 86, 4, 156),
                Part("plate", "M44 58V8q4.5-3 9 0t9 0V58z"),
                weld("M62 34Q82 50 98 70Q78 76 66 72Q58 72 60 64 58 58 58 52 58 42 62 34z"),
                fault("M44 58H59M40 70H61"),
                measure("M30 58H42" + arrow(36, 57, 90, 16) + arrow(36, 72, 270, 16)),
                box=SHEET,
            ),
            View(
                _SIDE,
                _("Without the weld: the gap under the upright grows along the joint."),
                (
                    block(66, 84),
                    block(20, 66, 12, 148),
                    hole("M12 66L148 53V66z"),
                    measure(arrow(140, 51, 90, 18) + arrow(140, 69, 270, 13)),
                ),
            ),
            above(
                _(
                    "Where the gap is wide the bead runs under the upright: it gets narrower, and "
                    "the dashed line shows how far its leg should reach."
                ),
                block(10, 90),
                block(26, 42, 12, 148),
                weld("M14 42H146V54Q80 60 14 72z"),
                wanted("M14 72H146"),
                fault("M14 72Q80 60 146 54"),
            ),
        ),
    ),
}
