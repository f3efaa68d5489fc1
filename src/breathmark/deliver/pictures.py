"""The clinician's own pictures: checked, turned upright, scaled, and stripped bare.

A photograph may hold where and when it was taken, whose telephone took it, even a small
copy of what was cropped away.  Only its pixels are kept: they are written anew, and
nothing else comes along.
"""

from __future__ import annotations

import io
import struct
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from breathmark.problems import InputProblems, Place, Problem
from breathmark.routine.model import Routine
from breathmark.script.session import Session

if TYPE_CHECKING:
    from PIL.Image import Image

FORMATS = ("PNG", "JPEG", "WEBP")
"""What is read, by the names of its decoders."""

MOST_BYTES = 25_000_000
"""The largest file that is opened: a photograph of today's telephones has 3 to 15 MB."""

MOST_PIXELS = 80_000_000
"""The most pixels that are decoded, so that a small file cannot fill the memory."""

LEAST_SIDE_PX = 48
"""A picture with a shorter side shows nothing."""

MOST_SIDE_PX = 1200
"""The longer side of what is kept: 300 dots an inch where it is printed 4 in wide."""

SMALL_SIDE_PX = 300
"""The side of a chapter's picture: what a telephone shows beside the chapter's name."""

_FEW_COLOURS = 4096
_QUALITY, _SMALL_QUALITY = 88, 82


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A picture that may go out: PNG or JPEG ``data``, its size in pixels, nothing else."""

    data: bytes
    media_type: str
    width: int
    height: int


class _Unfit(Exception):
    """What is wrong with a picture, and what to do."""

    def __init__(self, message: str, remedy: str) -> None:
        self.message = message
        self.remedy = remedy
        super().__init__(message)


def checked_picture(path: Path, place: Place) -> Picture | Problem:
    """The picture in a file, ready for paper and player, or what is wrong with the file.

    PNG, JPEG and WebP are read, by their content and not their name; ``place`` is where
    the routine names the picture.  The same file gives the same bytes.
    """
    try:
        return _made(_read(path))
    except _Unfit as unfit:
        message = f"the picture `{path.name}` {unfit.message}"
        return Problem(rule="picture", message=message, place=place, remedy=unfit.remedy)


def pictures_of(routine: Routine) -> Mapping[str, Picture]:
    """The pictures of a routine's exercises by the text that names each (``picture:``).

    Paths are relative to the routine's own folder.  Raises
    :class:`~breathmark.problems.InputProblems` with everything that is wrong.
    """
    home = Path(routine.file).parent
    found: dict[str, Picture] = {}
    problems: list[Problem] = []
    for exercise in routine.exercises:
        name = exercise.picture
        if name is None or name in found:
            continue
        made = checked_picture(home / name, routine.place(f"{exercise.path}.picture"))
        if isinstance(made, Problem):
            problems.append(made)
        else:
            found[name] = made
    if problems:
        raise InputProblems(problems)
    return found


def small_picture(data: bytes) -> bytes:
    """A picture for a chapter of a recording: a square JPEG of ``SMALL_SIDE_PX``, on white.

    A recording goes by mail with a picture for each exercise, so each has to be small.  All
    are of one kind and size, as the pictures of an M4A's chapters have to be.
    """
    from PIL import Image

    image = Image.open(io.BytesIO(data)).convert("RGB")
    image.thumbnail((SMALL_SIDE_PX, SMALL_SIDE_PX), resample=Image.Resampling.LANCZOS)
    square = Image.new("RGB", (SMALL_SIDE_PX, SMALL_SIDE_PX), "white")
    square.paste(image, ((SMALL_SIDE_PX - image.width) // 2, (SMALL_SIDE_PX - image.height) // 2))
    return _as_jpeg(square, _SMALL_QUALITY)


def plain_picture() -> bytes:
    """What is shown where there is no picture but a place for one: a white square."""
    from PIL import Image

    return _as_jpeg(Image.new("RGB", (SMALL_SIDE_PX, SMALL_SIDE_PX), "white"), _SMALL_QUALITY)


def chapter_pictures(
    routine: Routine, session: Session, pictures: Mapping[str, Picture]
) -> tuple[bytes | None, ...]:
    """The small picture of each chapter of a session; ``None`` for a chapter without one.

    ``pictures`` are those of :func:`pictures_of`.
    """
    small = {name: small_picture(picture.data) for name, picture in pictures.items()}
    return tuple(
        None
        if block.exercise is None
        else small.get(routine.exercises[block.exercise].picture or "")
        for block in session.blocks
    )


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise _Unfit(
            f"cannot be read: {(error.strerror or 'an error').lower()}", "Put it there."
        ) from None
    if len(data) > MOST_BYTES:
        raise _Unfit(
            f"is larger than {MOST_BYTES // 1_000_000} MB",
            "Save it smaller; 1200 pixels wide is enough.",
        )
    return data


def _made(data: bytes) -> Picture:
    from PIL.Image import Resampling

    image = _upright(_decoded(data))
    image.thumbnail((MOST_SIDE_PX, MOST_SIDE_PX), resample=Resampling.LANCZOS)
    # A drawing stays sharp as PNG; a photograph would be many times as large.
    drawing = image.getcolors(_FEW_COLOURS) is not None
    return Picture(
        data=_as_png(image) if drawing else _as_jpeg(image, _QUALITY),
        media_type="image/png" if drawing else "image/jpeg",
        width=image.width,
        height=image.height,
    )


def _as_png(image: Image) -> bytes:
    out = io.BytesIO()
    image.save(out, "PNG", optimize=True)
    return out.getvalue()


def _as_jpeg(image: Image, quality: int) -> bytes:
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()


def _decoded(data: bytes) -> Image:
    """The decoded picture; whatever a broken or odd file makes the decoder say is told."""
    from PIL import Image, UnidentifiedImageError

    other = "Save it as PNG or JPEG."
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            warnings.simplefilter("ignore", UserWarning)
            image = Image.open(io.BytesIO(data), formats=FORMATS)
            _require_fit(image)
            # A JPEG can be decoded at a half, a quarter or an eighth of its size.
            image.draft(None, (2 * MOST_SIDE_PX, 2 * MOST_SIDE_PX))
            image.load()
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise _Unfit(*_TOO_MANY) from None
    except UnidentifiedImageError:
        raise _Unfit("is no PNG, JPEG or WebP picture", other) from None
    except (OSError, SyntaxError, ValueError, EOFError, IndexError, struct.error) as error:
        raise _Unfit("is damaged: it cannot be decoded to its end", other) from error
    return image


_TOO_MANY = (
    f"has more than {MOST_PIXELS // 1_000_000} million pixels",
    "Save it smaller; 1200 pixels wide is enough.",
)


def _require_fit(image: Image) -> None:
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise _Unfit(*_TOO_MANY)
    if min(width, height) < LEAST_SIDE_PX:
        raise _Unfit(
            f"is only {width} by {height} pixels",
            f"Take one with {LEAST_SIDE_PX} pixels or more each way; 600 look good on paper.",
        )
    # An MPO is a JPEG with a second photograph behind it (a preview, or depth): not moving.
    if image.format != "MPO" and getattr(image, "is_animated", False):
        raise _Unfit("moves; paper cannot", "Save one still picture of it.")


def _upright(image: Image) -> Image:
    """The pixels alone: turned as the camera was held, in sRGB, on white."""
    from PIL import Image as Images
    from PIL import ImageOps

    turned = ImageOps.exif_transpose(image)
    coloured = _in_srgb(turned)
    if coloured.has_transparency_data:
        ground = Images.new("RGBA", coloured.size, "white")
        coloured = Images.alpha_composite(ground, coloured.convert("RGBA"))
    plain = coloured.convert("RGB")
    bare = Images.new("RGB", plain.size)
    bare.paste(plain)
    return bare


def _in_srgb(image: Image) -> Image:
    """The picture in the colours that screens and printers take for granted."""
    from PIL import ImageCms

    profile = image.info.get("icc_profile")
    if image.mode.startswith("I"):  # 16 bits of grey
        return image.convert("I").point(lambda value: value / 257).convert("L")
    if not profile or image.mode not in {"RGB", "CMYK", "L"}:
        return image.convert("RGBA") if image.mode == "P" else image
    try:
        source = ImageCms.getOpenProfile(io.BytesIO(profile))
        target = ImageCms.createProfile("sRGB")
        done = ImageCms.profileToProfile(image, source, target, outputMode="RGB")
    except (ImageCms.PyCMSError, OSError):  # a broken profile: as if there were none
        return image
    return done or image
