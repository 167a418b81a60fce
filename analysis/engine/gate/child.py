"""The gate's side of `engine.process`: a parcel in, a parcel out."""

from __future__ import annotations

from dataclasses import asdict

from analysis.engine.gate import Limits, converted
from analysis.engine.gate import admit as admit_here
from analysis.engine.gate.notices import Notices, notice
from analysis.engine.process import Parcel


def convert(parcel: Parcel) -> Parcel:
    """The blob ``data``, of a format the gate does not read itself, as the blob ``musicxml``."""
    notices = Notices()
    made = converted(
        parcel.blobs["data"],
        parcel.value["filename"],
        Limits(**parcel.value["limits"]),
        notices,
    )
    return Parcel({"notices": [asdict(n) for n in notices.as_tuple()]}, {"musicxml": made})


def admit(parcel: Parcel) -> Parcel:
    """`gate.admit` on the blob ``data``; the copy comes back as the blob ``canonical``."""
    admitted = admit_here(
        parcel.blobs["data"],
        parcel.value["filename"],
        limits=Limits(**parcel.value["limits"]),
        said=[notice(row) for row in parcel.value["said"]],
    )
    return Parcel(
        {
            "sha256": admitted.sha256,
            "title": admitted.title,
            "notices": [asdict(n) for n in admitted.notices],
            "parts": admitted.parts,
            "bars": admitted.bars,
            "notes": admitted.notes,
            "sounding": admitted.sounding,
        },
        {"canonical": admitted.canonical},
    )
