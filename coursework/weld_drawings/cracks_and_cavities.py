"""Drawings of group 1, cracks, and group 2, cavities, of ISO 6520-1."""

from typing import Final

from django.utils.translation import gettext_lazy as _

from coursework.weld_drawings.vocabulary import (
    BEAD,
    BUTT,
    CRATER,
    LENGTHWAYS,
    PLAIN_BEAD,
    RUN_END,
    Drawing,
    above,
    across,
    along,
    dots,
    hole,
    inside,
    through,
)

_CRATER_END: Final = "40 16 112 70"

DRAWINGS: Final = {
    "crack": Drawing(
        (
            across(
                _(
                    "A jagged line runs down from the face through the weld, "
                    "another from the toe into the plate."
                ),
                *BUTT,
                hole(
                    "M78 32.5L79.5 40 76.5 46 80.5 52 78 58 80 66"
                    " 80 57.5 82.5 51.5 78.8 46 81.8 40 80.5 32.4z"
                    "M102.5 37.3L104.5 43 102.5 48 105.5 56 105.6 48.5 107.5 43"
                    " 105 38z"
                ),
            ),
            above(
                _("A jagged line runs along the middle of the bead, a second one crosses it."),
                *BEAD,
                hole(
                    "M34 50L44 47.5 51 51.5 60 47.5 69 51.5 77 48 88 50"
                    " 77 50.5 69 54 60 50 52 54 44 50z"
                    "M114.5 28L117 38 113 47 117.5 56 114.5 64 116.5 73"
                    " 117.5 64 121 56 116.5 47 120.5 38z"
                ),
            ),
        ),
        telling=1,
    ),
    "crater_crack": Drawing(
        (
            along(
                _("The run ends in a dip; a crack goes down from the bottom of the dip."),
                *CRATER,
                hole("M108.5 39.6L110.5 45 107.5 50 110.5 58 110.7 50.5 113.5 45 112 40z"),
                box=_CRATER_END,
            ),
            above(
                _("The round end of a bead, large; a star of short cracks lies in its crater."),
                *RUN_END,
                hole(
                    "M103.5 47L106 41 103.5 37 108.5 32 106.7 37 109 41 107 48.5"
                    " 113 51 118 48.5 122 52 118 51.5 113 54 106 52.5"
                    " 103 58 105 63 101 69 101.5 63 99.5 58 102 51.5"
                    " 95 49 91 52 86 48.5 91 49 95 46z"
                ),
            ),
        ),
        telling=1,
    ),
    "pore": Drawing(
        (
            across(
                _("Round holes of several sizes in the weld, one of them open to the face."),
                *BUTT,
                hole(
                    dots((67, 44, 3), (86, 48, 4), (76, 54, 2.4), (96, 42, 2.4), (81, 62, 1.8))
                    + "M74.5 33C71.5 43 86.5 43 83.5 32.6Q79 32.2 74.5 33z"
                ),
            ),
            through(
                _("Round spots of several sizes in the bead; the solid one is open to the face."),
                *PLAIN_BEAD,
                inside(dots((36, 44, 3.6), (60, 55, 5), (106, 42, 4.4), (126, 54, 3))),
                hole(dots((84, 48, 4.5))),
            ),
        ),
    ),
    "pore_inside": Drawing(
        (
            across(
                _("Small round holes, evenly spread through the weld; none reaches the surface."),
                *BUTT,
                hole(
                    dots(
                        *((x, 39, 1.6) for x in (62, 71, 80, 89, 98)),
                        *((x, 46.5, 1.6) for x in (67, 75.5, 84.5, 93)),
                        *((x, 54, 1.6) for x in (71.5, 80, 88.5)),
                        *((x, 61.5, 1.6) for x in (76, 84)),
                    )
                ),
            ),
            through(
                _("Small round spots, evenly spread along the whole bead."),
                *PLAIN_BEAD,
                inside(
                    dots(
                        *((x, y, 2.2) for x in range(24, 144, 16) for y in (42, 58)),
                        *((x, 50, 2.2) for x in range(32, 144, 16)),
                    )
                ),
            ),
        ),
    ),
    "pore_cluster": Drawing(
        (
            across(
                _("A nest of small holes close together in one place of the weld."),
                *BUTT,
                hole(
                    dots(
                        (86, 41, 2.2),
                        (91, 43.5, 1.6),
                        (87.5, 46.2, 1.9),
                        (92.5, 48, 1.7),
                        (83.3, 45.3, 1.4),
                        (88.6, 51, 1.6),
                        (84, 49.8, 1.3),
                        (95, 43.5, 1.3),
                        (91, 39.4, 1.2),
                    )
                ),
            ),
            through(
                _("A nest of spots in one place; the rest of the bead is clear."),
                *PLAIN_BEAD,
                inside(
                    dots(
                        (85, 46, 3),
                        (91, 41, 2.2),
                        (93, 48, 3),
                        (87, 54, 2.6),
                        (95, 56, 2.2),
                        (100, 43, 2.4),
                        (101, 51, 2.6),
                        (79, 51, 2),
                    )
                ),
            ),
        ),
    ),
    "pore_line": Drawing(
        (
            along(
                _("A row of holes lies along the root of the weld."),
                LENGTHWAYS,
                hole(dots(*((x, 60 + x % 3 - 1, 2.6) for x in range(16, 150, 11)))),
            ),
            through(
                _("Spots one behind the other along the middle of the bead."),
                *PLAIN_BEAD,
                inside(dots(*((x, 50, 3) for x in range(24, 142, 11)))),
            ),
        ),
        telling=1,
    ),
    "pore_long": Drawing(
        (
            along(
                _("One long hole lies lengthways in the weld."),
                LENGTHWAYS,
                hole("M46 52C58 43 98 43 114 51C104 58 58 59 46 52z"),
            ),
            through(
                _("One long spot lies lengthways in the bead."),
                *PLAIN_BEAD,
                inside("M46 50C58 43 98 43 114 50C98 57 58 57 46 50z"),
            ),
        ),
        telling=1,
    ),
    "wormhole": Drawing(
        (
            along(
                _("Tubes rise slanting from the root; one of them comes out at the face."),
                LENGTHWAYS,
                hole(
                    "M38 62C42 55 48 50 57 48 60 48 60.5 51 58 52 51 54 46 58 42 63.5"
                    " 40.5 65 37 64 38 62z"
                    "M68 63C72 52 80 44 83 30.5H90C87 46 79 54 72 64.5 70.5 66 67 65 68 63z"
                    "M108 61C113 53 119 48 128 46 131 46 131.5 49 129 50 121 52 116 57 112 62.5"
                    " 110.5 64 107 63 108 61z"
                ),
            ),
            through(
                _(
                    "Tubes lie in pairs like the bones of a fish; "
                    "the solid end is open to the face."
                ),
                *PLAIN_BEAD,
                inside(
                    "".join(
                        f"M{x} 47.5L{x + 17} 38.5 {x + 19} 41 {x + 3} 49.5z"
                        f"M{x} 52.5L{x + 17} 61.5 {x + 19} 59 {x + 3} 50.5z"
                        for x in (32, 66, 100)
                    )
                ),
                hole(dots((84, 40, 3))),
            ),
        ),
    ),
    "pore_surface": Drawing(
        (
            across(
                _("Round holes in the weld that open to its face."),
                *BUTT,
                hole(
                    "M64 35.2C61 46 76 46 73.5 33.2Q69 33.8 64 35.2z"
                    "M86 32.8C84 41 98 42 95 34.8Q90 33.3 86 32.8z"
                ),
            ),
            above(
                _("Open round holes on the face of the bead."),
                *BEAD,
                hole(
                    dots(
                        (34, 44, 3),
                        (52, 55, 4.5),
                        (73, 43, 2.2),
                        (90, 53, 5),
                        (112, 45, 3.4),
                        (128, 56, 2.4),
                    )
                ),
            ),
        ),
        telling=1,
    ),
    "crater_pipe": Drawing(
        (
            along(
                _("The run ends in a dip, and a narrow hole goes down from it into the weld."),
                *CRATER,
                hole(
                    "M105.5 38.9C104 46 108 49 107 55 108.5 59 111.5 58.5 112 55"
                    " 112.5 49 116 46 116.5 39.9 112 40.3 108 40 105.5 38.9z"
                ),
                box=_CRATER_END,
            ),
            above(
                _("The round end of a bead, large; a deep hole lies in the middle of its crater."),
                *RUN_END,
                hole("M97 48C98 42 106 41 110 45 114 48 112 56 106 58 100 59 96 54 97 48z"),
            ),
        ),
    ),
}
