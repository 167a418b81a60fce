"""Recordings made for tests: clicks at known seconds, and a file of every kind."""

from __future__ import annotations

import io
import struct
import wave
from collections.abc import Iterable
from typing import Any

import numpy as np
from django.core.files.base import ContentFile

from courses.models import Recording, ScoreVersion, User
from courses.services import recordings
from tests.cast import RIGHTS

RATE = 8000


def clicks(at: Iterable[float], seconds: float) -> bytes:
    """A WAV file of short tones that begin at these seconds."""
    sound = np.zeros(int(seconds * RATE), np.int16)
    tone = 12000 * np.sin(2 * np.pi * 1000 * np.arange(RATE // 50) / RATE)
    for second in at:
        start = round(second * RATE)
        sound[start : start + len(tone)] = tone[: len(sound) - start]
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(sound.tobytes())
    return out.getvalue()


def box(name: bytes, *inside: bytes) -> bytes:
    data = b"".join(inside)
    return struct.pack(">I", 8 + len(data)) + name + data


def mp4(*tracks: bytes) -> bytes:
    """The boxes of an MP4 file that say what is in it; the index last, as many writers put it."""
    heads = [box(b"trak", box(b"hdlr", bytes(8), kind, bytes(13))) for kind in tracks]
    return box(b"ftyp", b"M4A ", bytes(4)) + box(b"mdat", bytes(5000)) + box(b"moov", *heads)


def ogg(packet: bytes) -> bytes:
    return b"OggS" + bytes(22) + b"\x01" + bytes([len(packet)]) + packet + bytes(100)


MP3 = b"\xff\xfb\x90\x64" + bytes(413)
KINDS = {
    "wav": (clicks([0.1], 0.5), "audio/wav"),
    "flac": (b"fLaC" + bytes(38), "audio/flac"),
    "opus": (ogg(b"OpusHead\x01\x02"), "audio/ogg"),
    "vorbis": (ogg(b"\x01vorbis" + bytes(23)), "audio/ogg"),
    "m4a": (mp4(b"soun"), "audio/mp4"),
    "aac": (b"\xff\xf1\x50\x80" + bytes(100), "audio/aac"),
    "mp3": (MP3, "audio/mpeg"),
    "mp3 with a tag": (b"ID3\x04\0\0\0\0\x27\x10" + bytes(5008) + MP3, "audio/mpeg"),
}
NONE = {
    "a score": b"<score-partwise/>",
    "a film": mp4(b"vide", b"soun"),
    "a film in Ogg": ogg(b"\x80theora" + bytes(30)),
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(100),
    "layer II": b"\xff\xfd\x90\x64" + bytes(100),
    "RIFF that is no sound": b"RIFF\x10\0\0\0AVI " + bytes(20),
    "an MP4 cut short": mp4(b"soun")[:4000],
    "a tag without music": b"ID3\x04\0\0\0\0\0\x0a" + bytes(500),
    "a page": b"<html><audio src=x></html>",
}


def attached(version: ScoreVersion, by: User, data: bytes | None = None, **said: Any) -> Recording:
    values = {"name": "The school orchestra", "performers": "A test", **RIGHTS, **said}
    file = ContentFile(data or clicks([0.5, 2.5], 6), name="spring.wav")
    return recordings.attach_recording(version=version, by=by, file=file, **values)


def taps_at(times: dict[int, float]) -> list[dict[str, Any]]:
    return [{"bar": bar, "pass": 1, "at": at} for bar, at in sorted(times.items())]


def followed(
    version: ScoreVersion, by: User, times: dict[int, float] | None = None,
    data: bytes | None = None, **said: Any,
) -> Recording:  # fmt: skip
    """Attached, tapped and given to be followed."""
    recording = attached(version, by, data, **said)
    draft = {"order": "played", "duration": 6.0, "taps": taps_at(times or {0: 0.5, 1: 2.5})}
    recordings.save_taps(recording=recording, draft=draft, if_match=0)
    recordings.give_to_follow(recording=recording, by=by)
    return recording
