"""The reader: canonical MusicXML -> note table, with lxml directly."""

from analysis.engine.reader.read import read

__all__ = ["read"]
