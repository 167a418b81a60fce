"""The fields of a kind once it is known: each looked for by itself, wherever it stands."""
