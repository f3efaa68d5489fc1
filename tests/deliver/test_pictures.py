"""The clinician's pictures come out upright, scaled, and with nothing but their pixels."""

from __future__ import annotations

import io
import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageCms, PngImagePlugin

from breathmark.deliver import pictures
from breathmark.deliver.pictures import Picture, checked_picture, small_picture
from breathmark.problems import Place, Problem

PLACE = Place(file="routine.yaml", line=7, column=14, path="exercises[0].picture")
SECRET = "Invented Street 12"


def _saved(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = io.BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def _photograph(width: int = 400, height: int = 300) -> Image.Image:
    """Many colours, the left half red, the right half blue."""
    across = Image.linear_gradient("L").rotate(90)
    bands = (Image.linear_gradient("L"), across, Image.radial_gradient("L"))
    image = Image.merge("RGB", bands).resize((width, height))
    image.paste((210, 20, 20), (0, 0, width // 2, height // 3))
    image.paste((20, 20, 210), (width // 2, 0, width, height // 3))
    return image


def _checked(data: bytes, folder: Path, name: str = "picture.jpg") -> Picture | Problem:
    path = folder / name
    path.write_bytes(data)
    return checked_picture(path, PLACE)


def _good(data: bytes, folder: Path, name: str = "picture.jpg") -> tuple[Picture, Image.Image]:
    made = _checked(data, folder, name)
    assert isinstance(made, Picture), made
    image = Image.open(io.BytesIO(made.data))
    image.load()
    assert image.size == (made.width, made.height)
    assert image.mode == "RGB"
    return made, image


def _bad(data: bytes, folder: Path) -> str:
    made = _checked(data, folder)
    assert isinstance(made, Problem), made
    assert made.place == PLACE
    assert made.remedy
    return made.message


def _exif() -> Image.Exif:
    """As a telephone writes it: who, where, and which way up."""
    exif = Image.Exif()
    exif[0x0112] = 6  # orientation: turn a quarter to the right (Exif 2.3, 4.6.4)
    exif[0x010F] = SECRET
    exif[0x013B] = SECRET
    exif.get_ifd(0x8825)[2] = (48.0, 12.0, 30.0)
    return exif


def test_a_photograph_is_upright_and_tells_nothing(tmp_path: Path) -> None:
    """The camera's turn is applied, and place, maker and name are gone."""
    exif = _exif()
    data = _saved(_photograph(), "JPEG", exif=exif, comment=SECRET.encode(), quality=95)
    assert SECRET.encode() in data
    made, image = _good(data, tmp_path)
    assert (made.width, made.height) == (300, 400)
    red, blue = image.getpixel((290, 50)), image.getpixel((290, 350))
    assert isinstance(red, tuple)
    assert isinstance(blue, tuple)
    assert red[0] > 150 > red[2]
    assert blue[2] > 150 > blue[0]
    assert _markers(made.data) <= {0xD8, 0xE0, 0xDB, 0xC0, 0xC4, 0xDA, 0xD9}
    assert SECRET.encode() not in made.data
    assert not image.getexif()


def _markers(jpeg: bytes) -> set[int]:
    """The markers of a JPEG file up to its scan (ITU-T T.81, B.1.1.3), read here by hand."""
    found, at = {0xD8}, 2
    while True:
        assert jpeg[at] == 0xFF
        found.add(jpeg[at + 1])
        if jpeg[at + 1] == 0xDA:
            return found
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")


def test_a_drawing_stays_sharp_and_tells_nothing(tmp_path: Path) -> None:
    """Few colours stay PNG, with the three chunks that a picture needs (PNG, 5.6)."""
    told = PngImagePlugin.PngInfo()
    told.add_text("Author", SECRET)
    told.add_itxt("Comment", SECRET, zip=True)
    drawing = Image.new("RGB", (200, 100), "#0F4C5C")
    made, image = _good(_saved(drawing, "PNG", pnginfo=told, exif=_exif()), tmp_path)
    assert made.media_type == "image/png"
    assert set(_chunks(made.data)) == {b"IHDR", b"IDAT", b"IEND"}
    assert image.getpixel((5, 5)) == (0x0F, 0x4C, 0x5C)


def _chunks(png: bytes) -> list[bytes]:
    names, at = [], 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        names.append(png[at + 4 : at + 8])
        at += 12 + length
    return names


def test_a_large_photograph_is_scaled_and_the_same_each_time(tmp_path: Path) -> None:
    """The longer side is 1200 pixels; the shape is kept; the bytes repeat."""
    data = _saved(_photograph(3000, 2000), "JPEG", quality=90)
    made, _ = _good(data, tmp_path)
    assert (made.width, made.height) == (1200, 800)
    assert made.media_type == "image/jpeg"
    assert _checked(data, tmp_path) == made


def test_what_was_clear_is_white(tmp_path: Path) -> None:
    """On paper there is nothing behind a picture."""
    image = Image.new("RGBA", (100, 100), (0, 0, 0, 0))
    image.paste((200, 0, 0, 255), (0, 0, 50, 100))
    for kind in ("PNG", "WEBP"):
        options = {"lossless": True} if kind == "WEBP" else {}
        _, seen = _good(_saved(image, kind, **options), tmp_path)
        assert seen.getpixel((80, 50)) == (255, 255, 255)
        assert seen.getpixel((20, 50)) == (200, 0, 0)


def test_a_second_photograph_behind_the_first_is_left_behind(tmp_path: Path) -> None:
    """Telephones put a preview or a map of depth into the file (CIPA DC-007, MPO)."""
    more = [_photograph(), Image.new("RGB", (200, 150), "#F0F")]
    data = _saved(more[0], "MPO", save_all=True, append_images=more[1:])
    made, _ = _good(data, tmp_path)
    assert b"MPF" in data
    assert b"MPF" not in made.data


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "YCbCr"])
def test_every_mode_of_colour_is_taken(tmp_path: Path, mode: str) -> None:
    """Grey, palette, with transparency, for print: all come out as a grey of the same sort."""
    image = Image.new("L", (120, 90), 255).convert(mode)
    kind = "JPEG" if mode in {"CMYK", "YCbCr"} else "PNG"
    _, seen = _good(_saved(image, kind), tmp_path)
    middle = seen.getpixel((60, 45))
    assert isinstance(middle, tuple)
    assert min(middle) > 245


def test_sixteen_bits_of_grey_keep_their_tones(tmp_path: Path) -> None:
    """An X-ray's or scanner's 16-bit grey is brought down, not cut off."""
    ramp = b"".join(struct.pack(">H", x * 257) for x in range(256)) * 64
    made, seen = _good(_png16(256, 64, ramp), tmp_path)
    assert made.width == 256
    values = [seen.getpixel((x, 30)) for x in (10, 128, 250)]
    assert [value[0] for value in values if isinstance(value, tuple)] == pytest.approx(
        [10, 128, 250], abs=2
    )


def _png16(width: int, height: int, samples: bytes) -> bytes:
    """A grey PNG of 16 bits, written by hand (PNG, 11.2)."""
    row = width * 2
    raw = b"".join(b"\0" + samples[y * row : (y + 1) * row] for y in range(height))
    parts = [
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 16, 0, 0, 0, 0)),
        (b"IDAT", zlib.compress(raw)),
        (b"IEND", b""),
    ]
    body = b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in parts
    )
    return b"\x89PNG\r\n\x1a\n" + body


def test_a_profile_is_used_and_left_behind(tmp_path: Path) -> None:
    """A colour profile says how to read the colours, and does not come along."""
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    made, _ = _good(_saved(_photograph(), "JPEG", icc_profile=profile), tmp_path)
    assert b"ICC_PROFILE" not in made.data
    broken, _ = _good(_saved(_photograph(), "JPEG", icc_profile=b"nonsense" * 40), tmp_path)
    assert b"nonsense" not in broken.data


def test_content_counts_and_not_the_name(tmp_path: Path) -> None:
    """A PNG called .jpg is a PNG; a text called .png is no picture."""
    made, _ = _good(_saved(Image.new("RGB", (80, 80)), "PNG"), tmp_path, "x.jpg")
    assert made.media_type == "image/png"
    assert "is no PNG, JPEG or WebP" in _bad(b"title: Not a picture\n", tmp_path)


def _moving(kind: str) -> bytes:
    more = [Image.new("RGB", (90, 90), colour) for colour in ("red", "blue")]
    return _saved(more[0], kind, save_all=True, append_images=more[1:], duration=200)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: b"", "is no PNG"),
        (lambda: _saved(Image.new("RGB", (90, 90)), "GIF"), "is no PNG"),
        (lambda: _saved(Image.new("RGB", (90, 90)), "TIFF"), "is no PNG"),
        (lambda: b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no PNG"),
        (lambda: _saved(_photograph(), "JPEG")[:3000], "is damaged"),
        (lambda: _saved(_photograph(), "PNG")[:-4000], "is damaged"),
        (lambda: _saved(Image.new("RGB", (300, 20)), "PNG"), "only 300 by 20 pixels"),
        (lambda: _moving("WEBP"), "moves"),
        (lambda: _moving("PNG"), "moves"),
        (lambda: _png16(60_000, 60_000, b""), "million pixels"),
        (lambda: _png16(12_000, 12_000, b""), "million pixels"),
    ],
)
def test_what_does_not_fit_is_said(tmp_path: Path, make: Callable[[], bytes], message: str) -> None:
    """Each kind of unfit file is told, with its place in the routine and what to do."""
    assert message in _bad(make(), tmp_path)


def test_a_huge_file_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit on bytes holds before anything is decoded."""
    monkeypatch.setattr(pictures, "MOST_BYTES", 1000)
    assert "is larger than" in _bad(_saved(_photograph(), "JPEG"), tmp_path)


def test_a_file_that_is_not_there_is_said(tmp_path: Path) -> None:
    """A file that went away between reading and building, or a folder of its name."""
    missing = checked_picture(tmp_path / "gone.png", PLACE)
    assert isinstance(missing, Problem)
    assert "cannot be read" in missing.message
    assert isinstance(checked_picture(tmp_path, PLACE), Problem)


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_a_damaged_file_never_breaks_the_build(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Flipped, cut and doubled bytes give a picture or a problem, nothing else."""
    kind = data.draw(st.sampled_from(["PNG", "JPEG", "WEBP"]))
    whole = bytearray(_saved(_photograph(80, 60), kind))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(whole) - 1))
        whole[at] = data.draw(st.integers(0, 255))
    cut = data.draw(st.integers(1, len(whole)))
    made = _checked(bytes(whole[:cut]), tmp_path_factory.mktemp("damaged"))
    assert isinstance(made, Picture | Problem)


def test_a_chapters_picture_is_a_small_square_that_tells_nothing() -> None:
    """All of one kind and size, the whole picture in it, upright in the middle on white."""
    wide = small_picture(_saved(_photograph(1200, 400), "JPEG", comment=SECRET.encode()))
    image = Image.open(io.BytesIO(wide))
    assert (image.format, image.mode, image.size) == ("JPEG", "RGB", (300, 300))
    red, blue, ground = (image.getpixel(at) for at in ((60, 110), (240, 110), (150, 40)))
    assert isinstance(red, tuple)
    assert isinstance(blue, tuple)
    assert isinstance(ground, tuple)
    assert red[0] > 150 > red[2]
    assert blue[2] > 150 > blue[0]
    assert min(ground) > 240
    assert SECRET.encode() not in wide
    assert _markers(wide) <= {0xD8, 0xE0, 0xDB, 0xC0, 0xC4, 0xDA, 0xD9}


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_chapters_picture_stays_small(seed: int) -> None:
    """Noise is the worst that there is for JPEG: 60 kB of it are the most in a mail."""
    noise = np.random.default_rng(seed).integers(0, 256, (400, 400, 3), np.uint8)
    assert len(small_picture(_saved(Image.fromarray(noise), "PNG"))) < 60_000
