"""Drawings of group 5 of ISO 6520-1, imperfect shape: a butt weld and its face."""

from typing import Final

from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings.vocabulary import (
    BEAD,
    BUTT,
    FIELD,
    JOINT,
    Drawing,
    Part,
    View,
    above,
    across,
    air,
    alien,
    along,
    arrow,
    bead,
    block,
    edge,
    fault,
    hole,
    measure,
    plate,
    ripples,
    wanted,
    weld,
)

_NOTCH: Final = "C49 38 51 46 54.5 46C56.5 45 57.5 40 60 37.5"
_NOTCH_RIGHT: Final = "C111 38 109 46 105.5 46C103.5 45 102.5 40 100 37.5"
_SAGGED: Final = "M54 38C66 40 66 51 80 51S94 40 106 38"
_UNEVEN: Final = (
    "M4 31C16 20 22 36 32 34S44 18 54 26 66 38 76 33 86 28 94 21 108 36 118 33 128 24 136 28"
    " 148 34 156 30"
)
_SPREAD_OUT: Final = (
    "M18 38C22 31 28 33 32 33S42 24 54 27 66 34 74 32 86 22 98 26 110 34 118 32 138 30 144 38"
    "C151 44 151 56 144 62C138 70 122 69 116 67S104 76 92 72 84 66 74 69 58 76 48 72 36 66 28 67"
    " 22 66 18 62C10 56 10 44 18 38z"
)
_WANDERING: Final = (
    "M16 41C20 38 24 37 28 37S44 26 54 29 68 43 78 43 92 30 104 27 124 40 132 40 142 41 145 44"
    "C150 47 150 54 145 57C142 60 136 59 130 58S118 52 106 58 90 66 78 60 64 72 52 72 36 60 28 62"
    " 20 62 16 60C9 56 9 45 16 41z"
)
_LUMP: Final = "M44 31C53 31 56 39 66 39L72 38C66 20 96 12 104 24 107 29 110 31 116 31"

DRAWINGS: Final = {
    "undercut": Drawing(
        (
            across(
                _(
                    "Beside the crown, at both toes, a groove is melted into the plate "
                    "and not filled."
                ),
                plate(),
                air(f"M43 35V38{_NOTCH}L64 30zM117 35V38{_NOTCH_RIGHT}L96 30z"),
                weld(
                    "M54.5 46C56.5 45 57.5 40 60 37.5Q80 21 100 37.5"
                    "C102.5 40 103.5 45 105.5 46L86 66Q80 73 74 66z"
                ),
                wanted("M43 38H58M102 38H117"),
                fault(f"M43 38{_NOTCH}M117 38{_NOTCH_RIGHT}"),
            ),
            above(
                _("Dark grooves run along both toes of the bead."),
                *BEAD,
                hole(
                    "M24 35Q44 28.5 72 35zM80 35Q104 29 136 35z"
                    "M22 65Q38 70 58 65zM66 65Q92 71.5 118 65z"
                ),
            ),
        ),
    ),
    "excess_weld_metal": Drawing(
        (
            across(
                _("The crown stands far above the dashed line of a usual crown, with steep toes."),
                *BUTT,
                alien("M56 38C56 6 104 6 104 38Q80 27 56 38z"),
            ),
            above(
                _("A thick rope of a bead with steep sides."),
                FIELD,
                JOINT,
                bead(),
                ripples(range(34, 140, 9), 42, 58),
                edge(
                    "M25 38.5H135a11.5 11.5 0 0 1 0 23H25a11.5 11.5 0 0 1 0-23z"
                    "M25 42H135a8 8 0 0 1 0 16H25a8 8 0 0 1 0-16z"
                ),
                fault("M25 35H135a15 15 0 0 1 0 30H25a15 15 0 0 1 0-30z"),
            ),
        ),
    ),
    "overlap": Drawing(
        (
            across(
                _(
                    "At both toes the metal has rolled out over the plate and lies on it, "
                    "with a dark gap below: it is not joined there."
                ),
                plate(),
                weld(
                    "M60 38L41 36C32 35 32 26 41 25Q80 13 119 25C128 26 128 35 119 36L100 38"
                    "L86 66Q80 73 74 66z"
                ),
                hole("M62 38.5L38 35.7 34 38.5zM98 38.5L122 35.7 126 38.5z"),
                fault("M62 38L41 36C32 35 32 26 41 25M98 38L119 36C128 35 128 26 119 25"),
            ),
            above(
                _("The bead spreads in lobes over the dashed lines where it is joined."),
                FIELD,
                JOINT,
                weld(_SPREAD_OUT),
                ripples(range(30, 142, 10), 38, 62),
                wanted("M20 38H142M20 62H142"),
                fault(_SPREAD_OUT),
            ),
        ),
    ),
    "misalignment": Drawing(
        (
            View(
                _("Cut across the weld: stepped, 507"),
                _(
                    "One plate lies higher than the other; the dashed line and the arrows "
                    "show the step."
                ),
                (
                    Part("plate", "M4 34H80V60H4q3-6.5 0-13t0-13z"),
                    Part("plate", "M80 46H156q-3 6.5 0 13t0 13H80z"),
                    weld("M56 34Q76 25 86 38T104 46L88 72Q82 77 79 72T72 60z"),
                    wanted("M86 34H154"),
                    fault("M56 34H4M104 46H156"),
                    measure(arrow(130, 33, 90, 14) + arrow(130, 48, 270, 14)),
                ),
            ),
            View(
                _("Cut across the weld: tilted, 508"),
                _(
                    "The plates meet at an angle; "
                    "the dashed line shows where the right one belongs."
                ),
                (
                    Part("plate", "M4 52H80V78H4q3-6.5 0-13t0-13z"),
                    Part("plate", "M80 52L151 24q0 7 3.5 11t5 13L87 78z"),
                    weld("M56 52Q78 38 101 43.7L88 78Q81 84 75 78z"),
                    wanted("M101 52H156"),
                    fault("M101 43.7L151 24M56 52H4"),
                    measure("M141 52A61 61 0 0 0 137 31" + arrow(137, 31, 280, 5)),
                ),
            ),
            above(
                _(
                    "The edge of the higher plate runs as a hard line along one side of the bead, "
                    "and the bead lies on the lower one."
                ),
                block(14, 50),
                block(50, 86),
                weld("M24 46H136a13 13 0 0 1 0 26H24a13 13 0 0 1 0-26z"),
                fault("M4 50H20M24 46H136M140 50H156"),
            ),
        ),
    ),
    "underfill": Drawing(
        (
            View(
                _("Cut across the weld: groove not filled, 511"),
                _("The face lies below the plate and the edges of the groove still stand."),
                (
                    plate(),
                    air("M54 35H106L98 50H62z"),
                    weld("M62 48Q80 54 98 48L86 66Q80 73 74 66z"),
                    wanted("M54 38H106"),
                    fault("M54 38L62 48Q80 54 98 48L106 38"),
                ),
                "24 18 112 70",
            ),
            View(
                _("Cut across the weld: sagged, 509"),
                _("The metal has sunk: the face is hollow and the root hangs."),
                (
                    plate(),
                    air(f"M54 35V38{_SAGGED[6:]}V35z"),
                    weld(f"{_SAGGED}L87 66C88 84 72 84 73 66z"),
                    wanted("M54 38H106"),
                    fault(_SAGGED),
                ),
                "24 18 112 70",
            ),
            above(
                _("The straight edges of the groove can be seen on both sides of the bead."),
                FIELD,
                weld("M4 40H156V60H4z"),
                # The sloping walls of the groove.
                edge("".join(f"M{x} 32v{3 + x % 3}M{x} 68v{-3 - x % 3}" for x in range(9, 156, 7))),
                ripples(range(18, 156, 9), 40, 60),
                fault("M4 32H156M4 68H156"),
            ),
        ),
    ),
    "irregular": Drawing(
        (
            along(
                _("The height of the face goes up and down about the dashed line of an even one."),
                block(38, 72),
                weld(f"{_UNEVEN}V58H4z"),
                wanted("M4 29H156"),
                fault(_UNEVEN),
            ),
            above(
                _("A bead that wanders, wide here and narrow there, its ripples unevenly spaced."),
                FIELD,
                JOINT,
                weld(_WANDERING),
                Part(
                    "ripple",
                    "M32 38q-9 12 0 22M38 34q-11 16 0 31M54 30q-14 20 0 42M72 43q-6 9 0 19"
                    "M78 44q-5 8 0 16M96 32q-10 14 0 29M112 29q-10 12 0 24M118 33q-7 10 0 20"
                    "M136 41q-6 9 0 17",
                ),
                wanted("M12 37H148M12 63H148"),
                fault(_WANDERING),
            ),
        ),
        telling=1,
    ),
    "restart": Drawing(
        (
            along(
                _(
                    "The first run ends in a dip; the next one starts beside it as a lump, "
                    "with a dark gap below it where it is not joined."
                ),
                block(38, 74),
                weld(
                    f"M4 31{'q5-2.5 10 0t10 0' * 2}{_LUMP[6:]}{'q5-2.5 10 0t10 0' * 2}V58H104"
                    "C92 58 88 42 72 41 66 50 60 58 46 58H4z"
                ),
                hole("M65 37L74 37.5C86 39 92 46 98 55 88 49 80 43 64 40.5z"),
                fault(_LUMP),
            ),
            above(
                _(
                    "Where the run started again a lump sits on the end of the first bead, "
                    "out of line with it."
                ),
                FIELD,
                JOINT,
                bead(35, 65, 10, 82),
                ripples(range(27, 70, 9)),
                weld("M78 50C72 28 104 28 108 40H137a14 14 0 0 1 0 28H106C98 76 76 70 78 50z"),
                ripples(range(116, 138, 9), 40, 68),
                edge("M106 42q-12 11 0 22M97 40q-12 12 0 26"),
                fault("M108 40C104 28 72 28 78 50C76 70 98 76 106 68"),
            ),
        ),
    ),
}
