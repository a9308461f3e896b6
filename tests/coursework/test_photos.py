"""Photos: decoded, turned, made small, stripped; anything else is refused in a sentence."""

import io

import pytest
from django.core.files.storage import default_storage
from PIL import Image, ImageFile

from coursework.photos import PhotoRefused, StoredPhoto, keep, kept, store


def picture(width: int = 60, height: int = 40, form: str = "JPEG", **options: object) -> io.BytesIO:
    file = io.BytesIO()
    Image.new("RGB", (width, height), "silver").save(file, form, **options)
    file.seek(0)
    return file


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_stored_small_and_by_its_content(form: str) -> None:
    stored = store(picture(3200, 800, form), 1000)
    assert (stored.width_px, stored.height_px) == (1600, 400)
    assert store(picture(3200, 800, form), 1000) == stored
    with default_storage.open(stored.name) as file:
        assert Image.open(file).format == "JPEG"


def test_place_device_and_comment_are_gone_and_the_picture_is_turned() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010F] = "a phone"
    exif.get_ifd(0x8825)[1] = "N"
    stored = store(picture(exif=exif, comment=b"bench 7"), 1000)
    assert (stored.width_px, stored.height_px) == (40, 60)
    with default_storage.open(stored.name) as file:
        content = file.read()
    assert not Image.open(io.BytesIO(content)).getexif()
    assert b"bench 7" not in content
    assert b"a phone" not in content


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"<html><script>alert(1)</script>",
        b"<svg xmlns='x'/>",
        b"\xff\xd8\xff\xe0garbage",
        b"GIF89a" + b"0" * 50,
    ],
)
def test_what_is_no_photo_is_refused_with_a_sentence(content: bytes) -> None:
    with pytest.raises(PhotoRefused, match="could not be read as a photo"):
        store(io.BytesIO(content), len(content))


def test_a_photo_cut_short_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    # As it is once a PDF was made in the same process.
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    whole = picture(900, 900, "PNG").getvalue()
    with pytest.raises(PhotoRefused):
        store(io.BytesIO(whole[: len(whole) // 2]), 1000)


@pytest.mark.parametrize("side", [7000, 9500, 14000])
def test_a_picture_of_too_many_pixels_is_refused_before_it_is_decoded(side: int) -> None:
    bomb = io.BytesIO()
    Image.new("1", (side, side)).save(bomb, "PNG")
    bomb.seek(0)
    with pytest.raises(PhotoRefused, match="too many pixels"):
        store(bomb, 1000)


def test_a_file_of_more_than_ten_megabytes_is_refused() -> None:
    with pytest.raises(PhotoRefused, match="10 MB"):
        store(picture(), 11 * 1024 * 1024)


def test_photos_are_kept_over_an_error_for_their_owner_alone() -> None:
    photos = [StoredPhoto("photos/x.jpg", 60, 40, 1000)]
    note = keep(photos, owner=7)
    assert kept(note, owner=7) == photos
    assert kept(note, owner=8) == []
    assert kept(note[:-1], owner=7) == []
    assert kept("", owner=7) == []
