"""How small a recording must be for a mail: the bit rate that keeps it under a limit.

Mail carries files as base64 (RFC 2045, 6.8): four letters for three bytes, and a line end
after 76 letters, so a file grows by 37 parts in a hundred.  An MP3 of constant bit rate
has a size that is known beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

LIMIT_BYTES: Final = 20_000_000
"""What a mail may weigh as it is sent; many servers refuse 25 million and more (common
practice)."""

BIT_RATES: Final = (64_000, 56_000, 48_000, 40_000, 32_000, 24_000)
"""What is tried, the usual one first.  At 24 kHz, 24 000 is the least at which a voice is
still clear (common practice)."""

MARGIN_BYTES: Final = 24_000
"""Room for the headers, the words and the parts' own headers."""

_FRAMES_AROUND: Final = 7
"""Frames an encoder adds for its delay, its padding and its own tag, at 24 kbit/s too
(measured)."""

_LEAST_AT_48_KHZ: Final = 32_000  # MPEG-1 knows no lower bit rate (ISO/IEC 11172-3, 2.4.2.3)


@dataclass(frozen=True, kw_only=True, slots=True)
class MailFit:
    """The bit rate at which a recording goes into a mail, ``None`` when none is low enough.

    ``sentence`` says so to the clinician.
    """

    bit_rate: int | None
    limit_bytes: int

    @property
    def short(self) -> str:
        """The same for a table: ``48 kbit/s``, or that the recording is too large."""
        if self.bit_rate is None:
            return "without the recording"
        return f"{self.bit_rate // 1000} kbit/s"

    @property
    def sentence(self) -> str:
        """What was chosen and why, or what to do instead."""
        limit = f"{self.limit_bytes / 1_000_000:g} MB"
        if self.bit_rate is None:
            return (
                f"The recording is too large for a mail of {limit}, even at the lowest quality. "
                "The message goes without it: give it on a memory stick, put it on the "
                "patient's phone, or send it through your clinic's own file exchange."
            )
        if self.bit_rate == BIT_RATES[0]:
            return f"The recording is attached at {self.short}; the mail stays under {limit}."
        return f"The recording is attached at {self.short} so that the mail stays under {limit}."


def mail_fit(
    length: int, rate_hz: int, *, other_bytes: int = 0, limit_bytes: int = LIMIT_BYTES
) -> MailFit:
    """The best bit rate for a recording of ``length`` samples at ``rate_hz``.

    ``other_bytes`` is everything else in the mail before it is encoded: the other
    attachments, and the recording's own tags (its lyrics and its cover).
    """
    room = limit_bytes - MARGIN_BYTES
    for bit_rate in BIT_RATES:
        if rate_hz > 24_000 and bit_rate < _LEAST_AT_48_KHZ:
            continue
        if encoded_bytes(mp3_bytes(length, rate_hz, bit_rate) + other_bytes) <= room:
            return MailFit(bit_rate=bit_rate, limit_bytes=limit_bytes)
    return MailFit(bit_rate=None, limit_bytes=limit_bytes)


def mp3_bytes(length: int, rate_hz: int, bit_rate: int) -> int:
    """The most that an MP3 of ``length`` samples has, without its tags.

    A frame holds 576 samples at 24 kHz and 1152 at 48 kHz (ISO/IEC 13818-3, 11172-3).

    >>> mp3_bytes(24_000 * 60, 24_000, 64_000)
    481344
    """
    samples = 576 if rate_hz < 32_000 else 1152
    frames = -(-length // samples) + _FRAMES_AROUND
    return frames * (samples * bit_rate // (8 * rate_hz))


def encoded_bytes(size: int) -> int:
    """What ``size`` bytes become in base64, with the line ends.

    >>> encoded_bytes(57), encoded_bytes(58)
    (78, 84)
    """
    return 4 * -(-size // 3) + 2 * -(-size // 57)
