"""Line drawings of every imperfection of the classroom list, by its key.

Drawn from what the imperfection is: a section of the weld, and the weld from above.
"""

from collections.abc import Mapping
from typing import Final

from coursework.weld_drawings import (
    beside_the_weld,
    cracks_and_cavities,
    face_shape,
    fillets,
    inclusions_and_fusion,
    root_shape,
)
from coursework.weld_drawings.vocabulary import Drawing, Part, View

__all__ = ["DRAWINGS", "Drawing", "Part", "View"]

DRAWINGS: Final[Mapping[str, Drawing]] = {
    **cracks_and_cavities.DRAWINGS,
    **inclusions_and_fusion.DRAWINGS,
    **face_shape.DRAWINGS,
    **root_shape.DRAWINGS,
    **fillets.DRAWINGS,
    **beside_the_weld.DRAWINGS,
}
