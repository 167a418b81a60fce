"""The demo's recording: the first bars of a movement, played by this site's own synthesiser."""

from __future__ import annotations

from typing import Any

from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from analysis import storage
from analysis.engine.sound import perform, soundfont_path
from analysis.engine.sound.bank import bank_of
from analysis.engine.sound.render import wav_file
from courses.models import Recording
from courses.services import recordings
from submissions.demo_stage import Made


@transaction.atomic
def record(made: Made, plan: dict[str, Any], row: dict[str, Any]) -> None:
    """Attach it with some of its bars tapped; not again when a visitor has taken it down."""
    version, path = made.scores[row["movement"]], soundfont_path()
    if path is None or Recording.objects.filter(version__score=version.score).exists():
        return
    table, bars = storage.table_of(made.run(row["movement"])), range(row["bars"])
    played = perform(table, order="once", within=(0, row["bars"] - 1))
    sound = wav_file(played, table, bank_of(path), tempo=row["tempo"])
    recording = recordings.attach_recording(
        version=version, by=made.tutor, file=ContentFile(sound, name="demo.wav"),
        name=row["name"], performers=row["performers"], source=row["source"],
        basis=Recording.Basis.OWN, country=plan["rights"]["country"],
        assessed_by=made.tutor.display_name, assessed_on=timezone.now().date(), entitled=True,
    )  # fmt: skip
    begins = [round(played.clock.at(bar.start) / row["tempo"], 3) for bar in played.bars]
    draft = {
        "order": "once",
        "duration": begins[row["bars"]],
        "taps": [{"bar": n, "pass": 1, "at": begins[n]} for n in bars if n not in row["left_out"]],
    }
    recordings.save_taps(recording=recording, draft=draft, if_match=0)
    recordings.give_to_follow(recording=recording, by=made.tutor)
