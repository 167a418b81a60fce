"""What is said of a staff whose name is a plural: "Corni 1, 2 rest", "Corno 1 rests".

The same sentences as beside them, with a plural verb; `speech.render` takes these where the name
that stands for ``{part}`` is one.
"""

from __future__ import annotations

MANY: dict[str, str] = {
    "claim.chord.foreign.many": "{part} have a foreign note ({pitches}).",
    "claim.chord.member.many": "{part} have the {member} ({pitches}).",
    "claim.chord.rests.many": "{part} rest there.",
    "claim.chord.several.many": "{part} have {pitches}: {members}.",
    "claim.crossing.silent.many": "{part} rest there, so nothing crosses.",
    "claim.doubling.is.many": "{part} double {others} {octaves}.",
    "claim.doubling.is.decorated.many": (
        "{part} play more notes of a line that {others} plays more simply, {octaves}."
    ),
    "claim.doubling.is.heterophonic.many": (
        "{part} play the plain line that {others} decorates, {octaves}."
    ),
    "claim.doubling.is.partly.many": (
        "{part} double {others} {octaves} in part ({met} of {of} notes)."
    ),
    "claim.doubling.is.reinforcement.many": (
        "{part} only pick out some notes of {others} ({met} of {of})."
    ),
    "claim.doubling.is.simplified.many": ("{part} play a simpler version of {others}, {octaves}."),
    "claim.doubling.not.many": "{part} do not double {others} there.",
    "claim.doubling.rests.many": "{part} rest there.",
    "claim.handover.goes-on.many": "{part} do not begin there: they are on their way already.",
    "claim.imitation.answer.many": (
        "{part} have ended when {other} answers at {where}: an answer, not an imitation."
    ),
    "claim.imitation.first.many": "{part} begin at {where}.",
    "claim.imitation.next.many": "{part} enter at {where}, {level}.",
    "claim.layout.as-written.many": "{part} sound as written.",
    "claim.layout.clef.many": "{part} stand in {clefs}.",
    "claim.layout.higher.many": "{part} sound {count} semitones higher than written.",
    "claim.layout.instrument.many": "{part} are for {instrument}.",
    "claim.layout.lower.many": "{part} sound {count} semitones lower than written.",
    "claim.layout.players.many": "{part} have {count} players.",
    "claim.layout.shares.many": "{part} share their staff with {others}.",
    "claim.marking.across.many": (
        "{part} move through several registers in {bars}: {low} to {high}."
    ),
    "claim.marking.alone.many": (
        "No “{mark}” is printed, though {part} are alone on their staff there."
    ),
    "claim.marking.instead.many": "{part} have “{other}” in {bars}.",
    "claim.marking.is.many": "{part} have “{mark}” in {bars}.",
    "claim.marking.not.many": "{part} have no “{mark}” in {bars}.",
    "claim.marking.plain.many": "{part} play as usual in {bars}.",
    "claim.marking.register.many": (
        "{part} lie in their {register} register ({name}) in {bars}, from {low} to {high}."
    ),
    "claim.marking.register.plain.many": (
        "{part} lie in their {register} register in {bars}, from {low} to {high}."
    ),
    "claim.marking.unknown.many": (
        "The file prints nothing that tells whether {part} have “{mark}”."
    ),
    "claim.parallel.doubles.many": "{part} double {others} {octaves} there.",
    "claim.parallel.is.many": (
        "{part} move in {interval}s {side} {others} ({met} of {of} attacks)."
    ),
    "claim.parallel.loosely.many": (
        "{part} move in {interval}s with {others} for most of the way only ({met} of {of} attacks)."
    ),
    "claim.pedal.is.many": "{part} keep {pitch} through {chords}.",
    "claim.pedal.is.unsure.many": ("{part} keep {pitch} through {chords}, if I hear them rightly."),
    "claim.pedal.moves.many": "{part} do not keep one note: {pitches} in {bars}.",
    "claim.pedal.short.many": "{part} keep {pitch} for less than {count} bars.",
    "claim.pedal.still.many": (
        "{part} keep {pitch}, but the harmony stays {chords}: no pedal yet."
    ),
    "claim.playing.part.many": "{part} play in {playing} and rest in {resting}.",
    "claim.playing.part.plays.many": "{part} play in {bars}.",
    "claim.playing.part.rests.many": "{part} rest in {bars}.",
    "claim.reinforcement.all.many": "{part} have all notes of {others} in {bars}.",
    "claim.reinforcement.is.many": (
        "{part} support {met} of {of} notes of {others} in {bars}, by {by}."
    ),
    "claim.reinforcement.none.many": "{part} support no note of {others} in {bars}.",
    "claim.reinforcement.rests.many": "{part} rest in {bars}.",
    "claim.rests.many": "{part} rest in {bars}.",
    "claim.role.is.many": "{part} read as {role} in {bars}.",
    "claim.role.unclear.many": "What {part} do there is not clear to me.",
    "claim.role.unclear.unsure.many": "What {part} do there is not clear to me.",
    "claim.sequence.again.many": (
        "{part} say the same again at the same height in {bars}: a repetition, no sequence."
    ),
    "claim.sequence.chain.many": "{part} go in {pattern} in {bars}: {count} moves in a row.",
    "claim.sequence.is.many": (
        "{part} state a model of {length} {count} times in {bars}, each time {interval} {way}."
    ),
    "claim.sequence.none.many": (
        "I find no model that {part} state again at another height in {bars}."
    ),
}
