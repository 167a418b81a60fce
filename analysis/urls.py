"""Addresses of the reading of a score."""

from django.urls import path

from analysis.views import (
    engraving,
    findings,
    notes,
    overrules,
    parts,
    recordings,
    reduction,
    score,
)

urlpatterns = [
    path("scores/<uuid:score_id>/", score.score_page, name="score"),
    path("scores/<uuid:score_id>/findings/", findings.findings, name="findings"),
    path("scores/<uuid:score_id>/short-score/", reduction.state, name="short-score"),
    path("scores/<uuid:score_id>/short-score/<str:key>/<int:page>.svg", reduction.page,
         name="short-score-page"),
    path("scores/<uuid:score_id>/parts/", parts.parts_page, name="parts"),
    path("scores/<uuid:score_id>/parts/confirm/", parts.confirm, name="confirm-parts"),
    path("files/<uuid:version_id>/view/", engraving.view_state, name="score-view"),
    path(
        "files/<uuid:version_id>/view/<str:key>/<int:page>.svg", engraving.page, name="score-page"
    ),
    path("files/<uuid:version_id>/sound.mid", engraving.midi, name="score-midi"),
    path("files/<uuid:version_id>/timeline.json", engraving.timeline, name="score-timeline"),
    path("scores/<uuid:score_id>/recordings/new/", recordings.attach, name="attach-recording"),
    path("recordings/<uuid:recording_id>/", recordings.tap, name="tap-recording"),
    path("recordings/<uuid:recording_id>/taps/", recordings.save_taps, name="save-taps"),
    path("recordings/<uuid:recording_id>/follow/", recordings.give_to_follow,
         name="follow-recording"),
    path("recordings/<uuid:recording_id>/take-down/", recordings.take_down,
         name="take-down-recording"),
    path("recordings/<uuid:recording_id>/sound/", recordings.recording_sound,
         name="recording-sound"),
    path("files/<uuid:version_id>/recordings.json", recordings.heard_recordings,
         name="heard-recordings"),
    path("files/<uuid:version_id>/recordings/<uuid:recording_id>.json",
         recordings.recording_timeline, name="recording-timeline"),
    path("scores/<uuid:score_id>/overrule/", overrules.overrule_finding, name="overrule"),
    path("overrules/<uuid:overrule_id>/withdraw/", overrules.withdraw_overrule,
         name="withdraw-overrule"),
    path("overrules/<uuid:overrule_id>/place/", overrules.place_overrule, name="place-overrule"),
    path("scores/<uuid:score_id>/notes/", notes.write, name="write-note"),
    path("notes/<uuid:note_id>/", notes.edit, name="edit-note"),
    path("notes/<uuid:note_id>/place/", notes.place, name="place-note"),
    path("notes/<uuid:note_id>/delete/", notes.delete, name="delete-note"),
]  # fmt: skip
