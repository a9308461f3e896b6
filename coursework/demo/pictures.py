"""Pictures of beads, drawn by code: they stand in for photos in the invented term.

``python -m coursework.demo.pictures`` draws them anew into ``fixtures/pictures``. Each picture has
a seed of its own, so the same code draws the same picture.
"""

import io
import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageOps

FOLDER: Final = Path(__file__).resolve().parents[2] / "fixtures" / "pictures"
SIZE: Final = (1200, 800)
MIDDLE_Y: Final = 410
FIRST_X, LAST_X = 110, 1080
"""Where the bead starts and where it stops [px]."""

type Canvas = Image.Image


@dataclass(frozen=True, slots=True)
class Picture:
    """One drawn bead: its joint, how it was laid, and what went wrong."""

    name: str
    joint: str
    description: str
    half_width_px: int = 62
    unsteady_px: float = 2.0
    ripple_px: int = 17
    fault: str = ""

    @property
    def path(self) -> Path:
        """Where the picture lies among the fixtures."""
        return FOLDER / f"{self.name}.jpg"

    @property
    def stored_name(self) -> str:
        """Its name in the media storage."""
        return f"pictures/{self.name}.jpg"


PICTURES: Final = (
    Picture("puddle-even", "puddle", "Puddle track, even width", 46, 3, 22),
    Picture("bead-even", "bead_on_plate", "Bead on plate, even ripples"),
    Picture("bead-uneven", "bead_on_plate", "Bead on plate, width wanders", 58, 15, 24),
    Picture("bead-pores", "bead_on_plate", "Surface pores along the bead", 60, 6, fault="pores"),
    Picture("corner-even", "corner", "Outside corner, even", 54, 3),
    Picture("lap-even", "lap", "Lap, both toes wet in", 58, 3),
    Picture("lap-undercut", "lap", "Undercut at the upper toe", 58, 7, 20, fault="undercut"),
    Picture("tee-even", "tee", "Tee fillet, even legs", 66, 2, 15),
    Picture("tee-crater-crack", "tee", "Crack in the end crater", 64, 6, fault="crater_crack"),
    Picture("tee-soot", "tee", "Soot beside the bead", 60, 4, 12, fault="soot"),
    Picture("butt-even", "butt", "Butt weld, even cap", 56, 2, 15),
    Picture("butt-burn-through", "butt", "Burn-through in a butt", 56, 8, fault="burn_through"),
)


def draw(picture: Picture) -> Canvas:
    """Return the picture: plate, cleaned band, bead, faults, and the light on all of it."""
    chance = random.Random(picture.name)  # noqa: S311 - the same picture every time is the point
    canvas = _plate(chance, picture.joint)
    track = _track(chance, picture)
    if picture.fault == "soot":
        _soot(canvas, track)
    canvas = Image.composite(_bead(chance, picture, track), canvas, _outline(track))
    if fault := FAULTS.get(picture.fault):
        fault(ImageDraw.Draw(canvas), chance, track)
    lit = ImageChops.multiply(canvas.filter(ImageFilter.GaussianBlur(0.8)), _light())
    return ImageOps.colorize(lit, black=(16, 17, 20), white=(250, 250, 246), mid=(140, 146, 152))


@dataclass(frozen=True, slots=True)
class Ripple:
    """One ripple of the bead: where, and how far it reaches to each side [px]."""

    x: float
    y: float
    half_width: float
    length: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """The box that the ripple's ellipse fills."""
        return (
            self.x - self.length,
            self.y - self.half_width,
            self.x + self.length,
            self.y + self.half_width,
        )


def _track(chance: random.Random, picture: Picture) -> list[Ripple]:
    """Return the ripples from start to stop; an unsteady hand drifts and comes back."""
    ripples: list[Ripple] = []
    x, drift, swell = float(FIRST_X), 0.0, 0.0
    while x < LAST_X:
        drift = 0.85 * drift + chance.gauss(0, picture.unsteady_px * 0.35)
        swell = 0.8 * swell + chance.gauss(0, picture.unsteady_px * 0.6)
        half = picture.half_width_px + swell
        ripples.append(Ripple(x, MIDDLE_Y + drift, half, half * 0.72))
        x += picture.ripple_px + chance.gauss(0, picture.unsteady_px * 0.25)
    return ripples


def _noise(chance: random.Random, width: int, height: int, strength: float) -> Canvas:
    """Return streaks along the picture, around middle gray."""
    grain = Image.frombytes("L", (width, height), chance.randbytes(width * height))
    streaks = grain.resize(SIZE, Image.Resampling.BICUBIC)
    return streaks.point(lambda value: 128 + (value - 128) * strength)


def _plate(chance: random.Random, joint: str) -> Canvas:
    """Return the brushed plates of the joint, brighter in the band that was cleaned."""
    plate = ImageChops.add(_noise(chance, 30, 400, 0.16), Image.new("L", SIZE, 24))
    shade = Image.new("L", SIZE, 235)
    pen = ImageDraw.Draw(shade)
    upper = {"tee": 168, "lap": 205, "corner": 180}.get(joint)
    if upper:
        pen.rectangle((0, 0, SIZE[0], MIDDLE_Y), fill=upper)
    pen.rectangle((0, MIDDLE_Y - 150, SIZE[0], MIDDLE_Y + 150), fill=(upper or 235) + 20)
    pen.rectangle((0, MIDDLE_Y, SIZE[0], MIDDLE_Y + 150), fill=255)
    if joint in ("butt", "lap", "tee"):
        pen.line((0, MIDDLE_Y, SIZE[0], MIDDLE_Y), fill=40, width=5)
    return ImageChops.multiply(plate, shade.filter(ImageFilter.GaussianBlur(3)))


def _outline(track: Iterable[Ripple]) -> Canvas:
    mask = Image.new("L", SIZE, 0)
    pen = ImageDraw.Draw(mask)
    for ripple in track:
        pen.ellipse(ripple.box, fill=255)
    return mask.filter(ImageFilter.GaussianBlur(1.5))


def _bead(chance: random.Random, picture: Picture, track: list[Ripple]) -> Canvas:
    """Return the ripples, each over the one before, rounded off by light from above."""
    bead = Image.new("L", SIZE, 150)
    pen = ImageDraw.Draw(bead)
    for ripple in track:
        pen.ellipse(ripple.box, fill=round(222 + chance.gauss(0, 5)), outline=128, width=4)
    end = track[-1]
    pen.ellipse([side * 0.6 + mid * 0.4 for side, mid in _about(end)], fill=172)
    dome = Image.new("L", SIZE, 120)
    shade = ImageDraw.Draw(dome)
    for offset in range(-2 * picture.half_width_px, 2 * picture.half_width_px + 1):
        across = offset / picture.half_width_px
        tone = max(110, 255 - 80 * (across + 0.35) ** 2)
        shade.line((0, MIDDLE_Y + offset, SIZE[0], MIDDLE_Y + offset), fill=round(tone))
    return ImageChops.multiply(bead.filter(ImageFilter.GaussianBlur(2)), dome)


def _about(ripple: Ripple) -> Iterable[tuple[float, float]]:
    return zip(ripple.box, (ripple.x, ripple.y, ripple.x, ripple.y), strict=True)


def _light() -> Canvas:
    """Return a light that falls off toward the corners."""
    fall = Image.radial_gradient("L").resize(SIZE, Image.Resampling.BICUBIC)
    return fall.point(lambda value: 255 - value * 0.42)


# --- what can go wrong


def _pores(pen: ImageDraw.ImageDraw, chance: random.Random, track: list[Ripple]) -> None:
    for ripple in chance.sample(track[4:-4], 11):
        radius = chance.uniform(3, 8)
        x, y = ripple.x, ripple.y + chance.gauss(0, 18)
        pen.ellipse((x - radius - 3, y - radius - 3, x + radius + 3, y + radius + 3), fill=235)
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=25)


def _undercut(pen: ImageDraw.ImageDraw, chance: random.Random, track: list[Ripple]) -> None:
    toe = [(each.x, each.y - each.half_width + chance.gauss(2, 2)) for each in track[12:38]]
    pen.line(toe, fill=22, width=9, joint="curve")


def _crater_crack(pen: ImageDraw.ImageDraw, chance: random.Random, track: list[Ripple]) -> None:
    end = track[-1]
    for reach_x, reach_y in ((34, 8), (-30, 12), (6, -30), (-8, 28), (22, -20)):
        bend = (end.x + reach_x / 2 + chance.gauss(0, 4), end.y + reach_y / 2 + chance.gauss(0, 4))
        pen.line([(end.x, end.y), bend, (end.x + reach_x, end.y + reach_y)], fill=12, width=3)


def _burn_through(pen: ImageDraw.ImageDraw, chance: random.Random, track: list[Ripple]) -> None:
    at = track[len(track) * 2 // 3]
    for step in range(9):
        reach = 44 - step * 2
        x, y = at.x + chance.gauss(0, 7), at.y + chance.gauss(0, 6)
        pen.ellipse((x - reach, y - reach * 0.75, x + reach, y + reach * 0.75), fill=8)


def _soot(canvas: Canvas, track: list[Ripple]) -> None:
    """Darken the metal along both toes."""
    shade = Image.new("L", SIZE, 255)
    pen = ImageDraw.Draw(shade)
    for ripple in track:
        reach = ripple.half_width + 42
        pen.ellipse((ripple.x - 30, ripple.y - reach, ripple.x + 30, ripple.y + reach), fill=70)
    canvas.paste(ImageChops.multiply(canvas, shade.filter(ImageFilter.GaussianBlur(26))))


type Fault = Callable[[ImageDraw.ImageDraw, random.Random, list[Ripple]], None]

FAULTS: Final[dict[str, Fault]] = {
    "pores": _pores,
    "undercut": _undercut,
    "crater_crack": _crater_crack,
    "burn_through": _burn_through,
}


# --- for a coupon

SHOWS: Final = {
    "2017": "bead-pores",
    "5011": "lap-undercut",
    "104": "tee-crater-crack",
    "510": "butt-burn-through",
    "L1": "tee-soot",
    "514": "bead-uneven",
}
"""The picture that shows an imperfection, by its ISO 6520-1 number."""


def picture_for(joint: str, numbers: set[str]) -> Picture:
    """Return the picture of a joint that comes nearest to what was seen on it."""
    of_joint = [each for each in PICTURES if each.joint == joint]
    shown = {SHOWS[number] for number in numbers if number in SHOWS}
    return next((each for each in of_joint if each.name in shown), of_joint[0])


# --- into files


def encoded(picture: Picture) -> bytes:
    """Return the picture as a JPEG file."""
    file = io.BytesIO()
    draw(picture).save(file, "JPEG", quality=80, optimize=True)
    return file.getvalue()


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for each in PICTURES:
        each.path.write_bytes(encoded(each))
