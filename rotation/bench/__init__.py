"""Bench notes of one bake: what is weighed when, clock times, temperatures, what becomes of it."""

from rotation.bench.amounts import Amount, Measure
from rotation.bench.making import bench, contents_of, ways_of
from rotation.bench.notes import BenchNotes, Contents, Way

__all__ = ["Amount", "BenchNotes", "Contents", "Measure", "Way", "bench", "contents_of", "ways_of"]
