"""Taking a photo in: decoded, turned, made small, stripped of every trace, stored by content."""

import hashlib
import io
import warnings
from dataclasses import dataclass
from typing import IO

from django.core import signing
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

LARGEST_UPLOAD_BYTES = 10 * 1024 * 1024
LARGEST_PIXELS = 40_000_000
LONGEST_SIDE_PX = 1600
FORMATS = ("JPEG", "PNG", "WEBP")
TOO_MANY_PIXELS = gettext_lazy("This photo has too many pixels. Take it at 12 megapixels or less.")
_SALT = "coursework.photos"


class PhotoRefused(ValueError):
    """The file cannot be taken as a photo; the message says what to do."""


@dataclass(frozen=True, slots=True)
class StoredPhoto:
    """A photo in the media storage that may not belong to a coupon yet."""

    name: str
    width_px: int
    height_px: int
    size_bytes: int


def _decoded(file: IO[bytes]) -> Image.Image:
    """Return the turned, shrunk picture without anything but its pixels."""
    # The library that makes PDFs lets half pictures pass, for the whole process it is imported in.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        picture = Image.open(file, formats=FORMATS)
        if picture.width * picture.height > LARGEST_PIXELS:
            raise PhotoRefused(TOO_MANY_PIXELS)
        picture.draft("RGB", (LONGEST_SIDE_PX, LONGEST_SIDE_PX))
        turned = ImageOps.exif_transpose(picture).convert("RGB")
    turned.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    clean = Image.new("RGB", turned.size)
    clean.paste(turned)
    return clean


def store(file: IO[bytes], size_bytes: int) -> StoredPhoto:
    """Take one uploaded photo in.

    Parameters
    ----------
    file : binary file
        The upload: JPEG, PNG or WebP.
    size_bytes : int
        Its size.

    Raises
    ------
    PhotoRefused
        When it is too large, or not a picture that can be read.
    """
    if size_bytes > LARGEST_UPLOAD_BYTES:
        raise PhotoRefused(_("This photo is larger than 10 MB. Choose a smaller one."))
    try:
        picture = _decoded(file)
    except PhotoRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoRefused(TOO_MANY_PIXELS) from error
    except (
        UnidentifiedImageError,
        OSError,
        ValueError,
        SyntaxError,
    ) as error:
        raise PhotoRefused(
            _("This file could not be read as a photo. Choose a JPEG, PNG or WebP picture.")
        ) from error
    encoded = io.BytesIO()
    picture.save(encoded, "JPEG", quality=80, optimize=True)
    content = encoded.getvalue()
    name = f"photos/{hashlib.sha256(content).hexdigest()[:40]}.jpg"
    if not default_storage.exists(name):
        default_storage.save(name, ContentFile(content))
    return StoredPhoto(name, picture.width, picture.height, len(content))


def keep(photos: list[StoredPhoto], owner: int) -> str:
    """Return a signed note of stored photos, so that a form with an error does not lose them."""
    rows = [[each.name, each.width_px, each.height_px, each.size_bytes] for each in photos]
    return signing.dumps([owner, rows], salt=_SALT) if rows else ""


def kept(note: str, owner: int) -> list[StoredPhoto]:
    """Return the photos that a signed note of the same owner names; none for any other note."""
    if not note:
        return []
    try:
        signed_for, rows = signing.loads(note, salt=_SALT, max_age=24 * 60 * 60)
    except signing.BadSignature:
        return []
    return [StoredPhoto(*row) for row in rows] if signed_for == owner else []
