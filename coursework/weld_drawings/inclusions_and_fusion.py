"""Drawings of group 3, solid inclusions, and group 4, fusion and penetration, of ISO 6520-1."""

from typing import Final

from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings.vocabulary import (
    BEAD,
    BUTT,
    FIELD,
    PLAIN_BEAD,
    Drawing,
    View,
    above,
    across,
    alien,
    arrow,
    edge,
    fault,
    hole,
    measure,
    plate,
    root_side,
    through,
    wanted,
    weld,
)

_WITH_TORCH: Final = "24 6 112 70"
# Short strokes of a bright rough face.
_ROUGH: Final = (
    "M22 36l3 3M42 33l3 3M62 36l3 3M128 36l3 3M138 50l3 3M20 60l3 3M66 60l3 3M80 40l3 3"
    "M134 63l3 3M98 34l3 3M22 48l3 3M72 50l3 3M116 32l3 3"
)

DRAWINGS: Final = {
    "oxide": Drawing(
        (
            across(
                _("Skins lie in the weld like a cloth in folds."),
                *BUTT,
                fault(
                    "M64 38.5C71 36 76 41 71 43.5S63 48 71 49.5 79 45 84 48 79 54 84 56"
                    "M98 38C91 40 90 44 94 45.5S92 51 89 53.5M75 57C78 54 80 60 83 62"
                ),
            ),
            above(
                _("The face is dull and wrinkled in place of clean ripples."),
                *PLAIN_BEAD,
                fault(
                    "M24 42C32 38 34 50 42 44S52 50 60 42 70 40 76 46 90 38 96 45 108 39 114 45"
                    " 126 41 136 44M26 56C32 50 40 61 47 55S60 61 66 54 80 60 88 53 100 61 108 54"
                    " 120 60 134 54"
                ),
            ),
            View(
                _("Broken open"),
                _("The broken face is bright and rough; flat gray patches lie in it."),
                (
                    weld("M12 28L30 25 48 29 70 25 96 28 122 25 148 28V72H12z"),
                    edge(_ROUGH),
                    alien(
                        "M32 46C40 38 56 42 58 50S46 62 38 58 28 52 32 46z"
                        "M86 54C92 44 112 42 120 49S112 66 100 65 82 62 86 54z"
                    ),
                ),
            ),
        ),
    ),
    "tungsten": Drawing(
        (
            across(
                _("The electrode above the weld has lost its tip; a jagged bit lies in the weld."),
                *BUTT,
                edge("M72 7V13L76 22 78.5 20 80.5 23 82.5 20.5 84.2 22 88 13V7"),
                wanted("M76 22L80 31 84.2 22"),
                alien("M75 41L84 39 91 45 87 54 79 55 82 48z"),
                box=_WITH_TORCH,
            ),
            through(
                _("Jagged bits in the bead; on the film they are bright."),
                *PLAIN_BEAD,
                alien("M70 43L84 39 92 47 86 57 76 58 80 50zM112 51L120 47 123 55 115 59z"),
            ),
        ),
    ),
    "copper": Drawing(
        (
            across(
                _(
                    "The contact tip above the weld is melted at its mouth; "
                    "a drop of it lies in the weld."
                ),
                *BUTT,
                edge(
                    "M69 7V17C70 22 75 15 77.5 21V7zM91 7V19C89 23 86 16 82.5 22V7z"
                    "M78.8 7V30M81.2 7V30"
                ),
                alien("M71 46C71 38 84 39 90 43S91 55 83 55 71 53 71 46z"),
                box=_WITH_TORCH,
            ),
            through(
                _("A round lump of other metal in the bead; on the film it is bright."),
                *PLAIN_BEAD,
                alien("M70 49C71 39 86 39 93 45S95 60 84 59 69 57 70 49z"),
            ),
        ),
    ),
    "lack_of_fusion": Drawing(
        (
            across(
                _(
                    "On the left the edge of the plate still stands, with a dark gap between it "
                    "and the weld. On the right the weld has melted into the plate."
                ),
                plate(),
                weld("M57 38Q80 27 108 38C106 50 96 58 88 66Q80 73 75 66z"),
                wanted("M101 38L84.5 66"),
                hole("M55.2 37L58.2 37 67.5 51 77 66.8 74 67z"),
                measure(arrow(62, 50, 200, 20)),
            ),
            above(
                _("The face may look sound; one toe is a straight dark line."),
                *BEAD,
                hole("M22 33.5H138V36.8H22z"),
                measure(arrow(80, 31.5, 90, 16)),
            ),
        ),
    ),
    "root_penetration": Drawing(
        (
            across(
                _(
                    "The weld ends above the root; below it the edges of both plates still stand, "
                    "with a gap between them."
                ),
                plate(),
                weld("M56 38Q80 27 104 38C100 46 92 50 86 54Q80 57 74 54C68 50 60 46 56 38z"),
                hole("M78 53.5H82V67H78z"),
                measure(arrow(80, 69, 270, 10)),
            ),
            root_side(
                _("Both edges of the joint can still be seen, with a slit between them."),
                FIELD,
                hole("M4 48.2H156V51.8H4z"),
                measure(arrow(80, 46.5, 90, 18) + arrow(80, 53.5, 270, 18)),
            ),
        ),
    ),
}
