"""Pages on which somebody states, rules, looks over or sends."""
