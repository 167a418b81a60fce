"""From a typed sentence to the fields of a statement: a proposal, never a verdict.

Deterministic and local: bars, part names and distances are found first, then the
kinds are asked in turn, each with its own turns of phrase (`kinds/<kind>.py`, one
line in `kinds/registry.py`). Whatever is not surely understood becomes a question;
a part that is named is either in the proposal or asked about.
"""

from analysis.engine.prose.propose import Proposal, propose

__all__ = ["Proposal", "propose"]
