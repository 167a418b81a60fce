"""A place in a score as it is stored, indices and never labels; and its way to another file."""

from __future__ import annotations

from django.db import models


class Place(models.Model):
    """Bars of one movement of one score version; beats and pass where they matter.

    `from_tick` and `to_tick` count from the start of the file in the engine's
    ticks (10,080 a quarter); null = the whole first and last bar.
    """

    version = models.ForeignKey("courses.ScoreVersion", on_delete=models.PROTECT, related_name="+")
    movement = models.PositiveSmallIntegerField(default=0)
    first_bar = models.PositiveIntegerField()
    last_bar = models.PositiveIntegerField()
    from_tick = models.BigIntegerField(null=True, blank=True)
    to_tick = models.BigIntegerField(null=True, blank=True)
    pass_number = models.PositiveSmallIntegerField(null=True, blank=True)
    place_lost = models.BooleanField(default=False)  # a corrected file no longer has it

    class Meta:
        abstract = True


class BarMap(models.Model):
    """How one file of a score lies on another one: made once, when a corrected file is read.

    Each direction is a row of its own.
    """

    source = models.ForeignKey(
        "courses.ScoreVersion", on_delete=models.CASCADE, related_name="maps_from"
    )
    target = models.ForeignKey(
        "courses.ScoreVersion", on_delete=models.CASCADE, related_name="maps_to"
    )
    bars = models.JSONField()  # for each bar of the source its index in the target, or null
    parts = models.JSONField()  # {part id: its id in the target}; a part that is gone is missing
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["source", "target"], name="mapped_once")]

    def __str__(self) -> str:
        return f"{self.source} on {self.target}"
