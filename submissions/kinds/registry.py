"""The kinds that have a form, in the order in which a reader meets them."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from submissions.kinds.base import KindForm
from submissions.kinds.build_up import BuildUpForm
from submissions.kinds.chord import ChordForm
from submissions.kinds.comparison import ComparisonForm
from submissions.kinds.course import CourseForm
from submissions.kinds.crossing import CrossingForm
from submissions.kinds.doubling import DoublingForm
from submissions.kinds.free import FreeForm
from submissions.kinds.handover import HandoverForm
from submissions.kinds.imitation import ImitationForm
from submissions.kinds.key import KeyForm
from submissions.kinds.key_route import KeyRouteForm
from submissions.kinds.layout import LayoutForm
from submissions.kinds.marking import MarkingForm
from submissions.kinds.open_tones import OpenTonesForm
from submissions.kinds.parallel import ParallelForm
from submissions.kinds.pedal import PedalForm
from submissions.kinds.playing import PlayingForm
from submissions.kinds.range import RangeForm
from submissions.kinds.reinforcement import ReinforcementForm
from submissions.kinds.role import RoleForm
from submissions.kinds.sequence import SequenceForm
from submissions.kinds.share import ShareForm
from submissions.kinds.sides_with import SidesWithForm
from submissions.kinds.texture import TextureForm


@dataclass(frozen=True)
class StatementKind:
    name: str
    label: str | Promise
    form: type[KindForm]
    needs_bars: bool = True

    @property
    def template(self) -> str:
        return f"submissions/kinds/_{self.name.replace('-', '_')}.html"


KINDS: dict[str, StatementKind] = {
    kind.name: kind
    for kind in (
        StatementKind("playing", _("Who plays"), PlayingForm),
        StatementKind("doubling", _("Doubling"), DoublingForm),
        StatementKind("parallel", _("Thirds, sixths, tenths"), ParallelForm),
        StatementKind("reinforcement", _("Reinforced notes"), ReinforcementForm),
        StatementKind("role", _("A part’s job"), RoleForm),
        StatementKind("texture", _("Texture"), TextureForm),
        StatementKind("course", _("Course of a part"), CourseForm),
        StatementKind("sides-with", _("Taking sides"), SidesWithForm),
        StatementKind("crossing", _("Crossing"), CrossingForm),
        StatementKind("range", _("Highest or lowest note"), RangeForm),
        StatementKind("marking", _("Mark or register"), MarkingForm),
        StatementKind("open-tones", _("Open tones of natural brass"), OpenTonesForm),
        StatementKind("pedal", _("Pedal note"), PedalForm),
        StatementKind("chord", _("Chord"), ChordForm),
        StatementKind("key", _("Key"), KeyForm),
        StatementKind("sequence", _("Sequence"), SequenceForm),
        StatementKind("handover", _("Handover"), HandoverForm),
        StatementKind("imitation", _("Imitation"), ImitationForm),
        StatementKind("key-route", _("Route of the keys"), KeyRouteForm),
        StatementKind("build-up", _("Build-up"), BuildUpForm),
        StatementKind("share", _("Who predominates"), ShareForm),
        StatementKind("comparison", _("Two places compared"), ComparisonForm),
        StatementKind("layout", _("The page before any note"), LayoutForm, needs_bars=False),
        StatementKind("free", _("Something else, in my words"), FreeForm),
    )
}


def kind_of(name: str) -> StatementKind:
    """The kind, or the free one for kinds that have no form yet."""
    return KINDS.get(name, KINDS["free"])
