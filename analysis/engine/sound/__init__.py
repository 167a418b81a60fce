"""Sound: the note table as MIDI for the browser's synthesiser, and when each note sounds.

>>> from analysis.engine.sound import midi_file, perform, timeline  # doctest: +SKIP
>>> performance = perform(table)
>>> data, times = midi_file(performance, table), timeline(performance, table)
"""

from analysis.engine.sound.midi import midi_file
from analysis.engine.sound.performance import Performance, perform
from analysis.engine.sound.soundfont import soundfont_path
from analysis.engine.sound.timeline import timeline

#: Changes with how a score is played; sounds made before are made anew when somebody asks.
SOUND_VERSION = 2

__all__ = ["SOUND_VERSION", "Performance", "midi_file", "perform", "soundfont_path", "timeline"]
